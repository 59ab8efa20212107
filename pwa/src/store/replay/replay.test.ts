import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import type { Command } from '../../domain/contract'
import { newId } from '../browser/clock'
import { enqueueAll } from '../queue/outbox'
import { openShop, type ShopSession } from '../session/shopSession'
import { hasReplays } from './replay'

const MEMBER = newId()
const WHO = { shop_id: newId(), member_id: MEMBER }
const CLOCK: Command = {
  name: 'start_clock',
  args: {
    id: newId(),
    started_at: new Date().toISOString(),
    ends_ids: [],
    kind: 'shop',
    job_id: null,
    operation: '',
    line_id: null,
    cause: null,
    repairs_id: null,
  },
}
const BUSINESS: Command = { name: 'add_customer', args: { id: newId(), name: 'Ada' } }

let shops: ShopSession[]

beforeEach(() => {
  shops = []
})

afterEach(async () => {
  for (const shop of shops) await shop.pause()
  vi.restoreAllMocks()
})

const open = async () => {
  const shop = await openShop(WHO)
  shops.push(shop)
  return shop
}

const shown = ({ view }: ShopSession) => [
  view.all('customer').map(({ name }) => name),
  view.all('time_entry').map(({ state }) => state),
  view.outbox.value.length,
]

test('a command with its own replay code is shown once that is loaded, with the next save', async () => {
  const shop = await open()
  expect(hasReplays([CLOCK])).toBe(false)
  expect(hasReplays([BUSINESS])).toBe(false)
  await enqueueAll([CLOCK, BUSINESS])
  expect(hasReplays([CLOCK])).toBe(true)
  expect(shown(shop)).toEqual([['Ada'], ['open'], 2])
})

test('commands saved before the app was closed are shown from the first render on', async () => {
  vi.resetModules()
  const again = await import('../session/shopSession')
  const { hasReplays: has } = await import('./replay')
  expect(has([CLOCK])).toBe(false)
  const shop = await again.openShop(WHO)
  shops.push(shop)
  expect(has([CLOCK])).toBe(true)
  expect(shown(shop)).toEqual([['Ada'], ['open'], 2])
})

test('loading of replay code has a time limit: the rest is shown, and its commands once it is loaded', async () => {
  vi.resetModules()
  let arrive = () => {}
  const arrived = new Promise<void>((resolve) => {
    arrive = resolve
  })
  vi.doMock('./areas/labor', async (original) => {
    await arrived
    return await original()
  })
  vi.useFakeTimers({ toFake: ['setTimeout'] })
  try {
    const again = await import('../session/shopSession')
    const opening = again.openShop(WHO)
    for (let turn = 0; turn < 100; turn++) {
      await new Promise((resolve) => setImmediate(resolve))
      await vi.advanceTimersByTimeAsync(100)
    }
    const shop = await opening
    shops.push(shop)
    expect(shown(shop)).toEqual([['Ada'], [], 2])
    arrive()
    await vi.waitFor(() => expect(shown(shop)).toEqual([['Ada'], ['open'], 2]))
  } finally {
    vi.useRealTimers()
    vi.doUnmock('./areas/labor')
  }
})
