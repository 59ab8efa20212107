import { afterEach, expect, test } from 'vitest'
import type { Job, Machine, Quote, QuoteLine } from '../domain/contract'
import { newId } from './browser/clock'
import { earlierLines } from './earlierLines'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { shopSession } from './session/shopSession'

let phone: Phone | undefined

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
})

/** A shop that quoted each of these for a tiller or a mower, oldest first. */
async function quoted(...lines: [words: string, of: 'tiller' | 'mower', more?: Partial<QuoteLine>][]) {
  const server = new FakeServer()
  for (const kind of ['tiller', 'mower']) {
    server.put('machine', { ...at(0), id: `${kind}-machine`, kind } as Machine)
    server.put('job', { ...at(0), id: `${kind}-job`, machine_id: `${kind}-machine` } as Job)
    server.put('quote', { ...at(0), id: kind, job_id: `${kind}-job` } as Quote)
  }
  for (const [day, [words, quote_id, more]] of lines.entries())
    server.put('quote_line', {
      ...at(day),
      id: `line-${day}`,
      kind: 'part',
      words,
      quote_id,
      ...more,
    } as QuoteLine)
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
}

const at = (day: number) => {
  const created_at = `2026-04-${String(day + 1).padStart(2, '0')}T08:00:00Z`
  return { created_at, changed_at: created_at }
}
const found = (typed: string, kind = 'mower') =>
  earlierLines('part', typed, kind).map(({ line }) => line.words)

test('an earlier part is found by each word or its number, with typos, once, at its last price', async () => {
  await quoted(
    ['Drive belt', 'mower', { unit_price_minor: 2900 }],
    ['Belt cover', 'mower'],
    ['drive belt', 'tiller', { unit_price_minor: 3100 }],
    ['Blade', 'mower', { part_number: 'BR-61402' }],
    ['Replace the drive belt', 'mower', { kind: 'labor' }],
  )
  expect(found('driv bel')).toEqual(['drive belt'])
  expect(found('beltt drive')).toEqual(['drive belt'])
  expect(found('BR-614')).toEqual(['Blade'])
  expect(found('carburetor')).toEqual([])
  const [belt] = earlierLines('part', 'drive', 'mower')
  expect(belt).toMatchObject({ times: 2, machineId: 'tiller-machine', line: { unit_price_minor: 3100 } })
  expect(earlierLines('labor', 'drive', 'mower').map(({ line }) => line.words)).toEqual([
    'Replace the drive belt',
  ])
})

test('of equal matches the one for this kind of machine is first, then the one quoted more often', async () => {
  await quoted(
    ['Belt A', 'tiller'],
    ['Belt B', 'mower'],
    ['Belt C', 'mower'],
    ['Belt B', 'mower'],
    ['Belt A', 'tiller'],
    ['Belt A', 'tiller'],
  )
  expect(found('belt')).toEqual(['Belt B', 'Belt C', 'Belt A'])
  expect(found('belt', 'tiller')).toEqual(['Belt A', 'Belt B', 'Belt C'])
  // With nothing typed: what is quoted for this kind of machine.
  expect(found('', 'tiller')).toEqual(['Belt A'])
})
