// @vitest-environment happy-dom
/** A phone that has open work only says so on every page, and shows nothing that needs all records. */
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { PERMISSIONS } from '../domain/contract'
import { en } from '../domain/words'
import { Phone } from '../store/fakes/phone'
import { customerRow } from '../store/fakes/rows'
import { FakeServer } from '../store/fakes/server'
import { session } from '../store/session/session'
import { shopSession } from '../store/session/shopSession'
import { renderRoute } from './renderRoute'
import { currentRoute, type Route } from './router'
import { ROUTES } from './screens/routes'

const t = en.coming
const root = document.createElement('div')
document.body.append(root)
const nobody = session.peek()
let server: FakeServer
let phone: Phone

beforeEach(async () => {
  server = new FakeServer()
  for (let at = 0; at < 25; at++) server.put('customer', customerRow(`customer ${at}`))
  server.put('customer', customerRow('zelkova quill'))
  server.first = new Set(['customer id of customer 3'])
  server.page_rows = 10
  phone = await Phone.open(server)
  shopSession.value = phone.shop
  const member = { id: 'm', name: 'Bram Aldous', role: 'owner' } as const
  session.value = { ...nobody, state: 'signed_in', member, permissions: PERMISSIONS.owner }
  // The first rows, one page of the rest, then no signal.
  server.faults = [null, null, null, null, 'drop']
  await expect(phone.sync()).rejects.toThrow('dropped')
})

afterEach(async () => {
  await act(() => render(null, root))
  session.value = nobody
  shopSession.value = null
  await phone.close()
})

async function shown(at: Route): Promise<string> {
  currentRoute.value = at
  await act(() => render(renderRoute(at), root))
  await vi.waitFor(() => expect(root.textContent).not.toContain(en.app.loading))
  return root.textContent ?? ''
}

test('today says what is here and what is coming, until all of it is', async () => {
  expect(await shown({ at: 'today' })).toContain(t.soFar('10', '26'))
  expect(root.textContent).toContain(t.hint)
  await phone.sync()
  expect(await shown({ at: 'today' })).not.toContain(t.title)
})

test('a search that finds nothing does not say that there is nothing', async () => {
  sessionStorage.setItem('find', 'zelkova')
  expect(await shown({ at: 'find' })).toContain(t.notYet('zelkova'))
  expect(root.textContent).not.toContain(en.find.none('zelkova'))
  await phone.sync()
  expect(await shown({ at: 'find' })).toContain('zelkova quill')
  expect(root.textContent).not.toContain(t.title)
  sessionStorage.removeItem('find')
})

test.each(['books', 'close-days', 'ageing', 'money-reports', 'stock', 'my-time', 'import'] as const)(
  '%s opens only once all records are here',
  async (at) => {
    expect(await shown({ at })).toContain(t.whole)
    await phone.sync()
    expect(await shown({ at })).not.toContain(t.whole)
  },
)

test('every list of the desk, and all that adds up money, needs all records', () => {
  const rules = Object.entries(ROUTES) as [
    string,
    readonly [string, unknown, { whole?: true; desk?: true }?],
  ][]
  const open = rules.filter(([, [, load, rule]]) => String(load).includes('/lists/') && !rule?.whole)
  expect(open.map(([at]) => at)).toEqual([])
})
