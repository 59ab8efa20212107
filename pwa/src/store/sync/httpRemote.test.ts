/** Requests to the server and the parsing of its answers. */
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { keepCsrf } from '../../api/client'
import type { Contact } from '../database/meta'
import type { OutboxEntry } from '../queue/entry'
import { HttpRemote } from './httpRemote'

const fetched = vi.fn<(path: string, request: RequestInit) => Promise<Response>>()
const CONTACT: Contact = {
  no: 7,
  server: 's',
  within_ms: 20,
  wall: '2026-05-04T09:00:00Z',
  mono_ms: 5,
  session: 'a',
}
const contacts = vi.fn(async (_no: number): Promise<readonly Contact[]> => [CONTACT])
const remote = new HttpRemote('phone', 'build-9', contacts)
const answer = (status: number, body?: unknown) => {
  const headers = { 'Content-Type': 'application/json' }
  const text = body === undefined ? null : JSON.stringify(body)
  fetched.mockResolvedValueOnce(new Response(text, { status, headers }))
}
const recorded = { id: 'c1', no: 7, status: 'applied', first: null, seq: 3, code: null, fields: null }
const entry = {
  id: 'c1',
  no: 7,
  name: 'add_customer',
  v: 1,
  args: { id: 'r1' },
  wall: '2026-05-04T09:00:00Z',
  mono_ms: 5,
  session: 'a',
} as unknown as OutboxEntry

beforeEach(() => {
  keepCsrf('t')
  vi.stubGlobal('fetch', fetched)
})
afterEach(() => {
  vi.unstubAllGlobals()
  fetched.mockReset()
})

test('a push carries its device, its build and the exchanges since its first command', async () => {
  answer(200, { results: [recorded] })
  const [outcome] = await remote.push('d1', [entry])
  expect(outcome).toMatchObject({ id: 'c1', status: 'applied', code: null, fields: [] })
  expect(contacts).toHaveBeenCalledWith(7)
  const [path, request] = fetched.mock.calls[0] ?? []
  expect(path).toBe('/api/v1/sync/push')
  expect(JSON.parse(String(request?.body))).toMatchObject({
    device: 'd1',
    build: 'build-9',
    contacts: [CONTACT],
    commands: [{ id: 'c1', no: 7, name: 'add_customer', v: 1, args: { id: 'r1' }, earlier: null }],
  })
})

test('a duplicate has the status recorded first, and must name it', async () => {
  answer(200, { results: [{ ...recorded, status: 'duplicate', first: 'rejected' }] })
  expect(await remote.push('d1', [entry])).toMatchObject([{ status: 'rejected' }])
  answer(200, { results: [{ ...recorded, status: 'duplicate' }] })
  await expect(remote.push('d1', [entry])).rejects.toThrow(TypeError)
})

test('a new phone asks for the first rows by name, and everything without', async () => {
  answer(200, { rows: { customer: [] }, after: 'p2', cursor: 'k1', acks: {}, total: null })
  expect(await remote.workingSet('d1', 'p1')).toEqual({ rows: { customer: [] }, after: 'p2' })
  expect(fetched.mock.calls[0]?.[0]).toBe('/api/v1/sync/snapshot?device=d1&build=build-9&part=first&after=p1')
  // A server of an earlier version says no total.
  answer(200, { rows: {}, after: null, cursor: 'k1', acks: {} })
  expect(await remote.snapshot('d1', null)).toEqual({ rows: {}, after: null, cursor: 'k1', total: null })
  expect(fetched.mock.calls[1]?.[0]).toBe('/api/v1/sync/snapshot?device=d1&build=build-9')
})

test('a pull gives nothing without changes, a resync, or a page', async () => {
  answer(304)
  expect(await remote.pull('d1', 'k1')).toBeNull()
  answer(200, { resync: 'epoch' })
  expect(await remote.pull('d1', 'k1')).toEqual({ resync: 'epoch' })
  answer(200, { rows: { customer: [] }, cursor: 'k2', more: true })
  expect(await remote.pull('d1', 'k1')).toEqual({
    rows: { customer: [] },
    gone: [],
    acks: {},
    cursor: 'k2',
    more: true,
    safe_no: 0,
  })
})

test('a command that the server does not know has no outcome; any other refusal is thrown', async () => {
  answer(404, { code: 'not_found' })
  expect(await remote.outcome('c1')).toBeNull()
  answer(500, {})
  await expect(remote.outcome('c1')).rejects.toMatchObject({ status: 500 })
  answer(200, recorded)
  expect(await remote.outcome('c1')).toMatchObject({ id: 'c1', status: 'applied' })
})

test('a session without a member counts as signed out', async () => {
  answer(200, { signed_in: false, csrf: 't', member: null })
  expect(await remote.whoIsSignedIn()).toBeNull()
  answer(200, { signed_in: true, csrf: 't', member: { id: 'm1' } })
  expect(await remote.whoIsSignedIn()).toBe('m1')
})
