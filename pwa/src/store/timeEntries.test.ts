import { afterEach, expect, test } from 'vitest'
import type { Job, Quote, QuoteLine, TimeEntry } from '../domain/contract'
import { newId } from './browser/clock'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { shopSession } from './session/shopSession'
import {
  correctEntry,
  dropEntry,
  entriesOf,
  entry,
  laborToStart,
  recentWork,
  startAgreed,
  suggestedWork,
  timeOf,
  workOf,
} from './timeEntries'

const ME = '0197c000-0000-7000-8000-00000000000a'
const OTHER = '0197c000-0000-7000-8000-00000000000b'
const born = { created_at: '2026-11-01T00:00:00Z', changed_at: '2026-11-01T00:00:00Z' }
let phone: Phone | undefined

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
})

async function shown(more: Partial<TimeEntry>): Promise<TimeEntry> {
  const server = new FakeServer()
  const defaults = { job_id: 'job', kind: 'repair', operation: '', line_id: null, anomaly: '' } as const
  const span = { started_at: '2026-11-23T14:00:00Z', ended_at: '2026-11-23T15:00:00Z', state: 'closed' }
  server.put('time_entry', {
    ...born,
    id: 'entry',
    ...defaults,
    ...span,
    member_id: ME,
    ...more,
  } as TimeEntry)
  phone = await Phone.open(server, { shop_id: newId(), member_id: ME })
  await phone.sync()
  shopSession.value = phone.shop
  const row = entry('entry')
  if (!row) throw new Error('not shown')
  return row
}

test('another member’s entry is still theirs after removal and undo', async () => {
  const row = await shown({ member_id: OTHER })
  const undo = await dropEntry(row, 'A tap in the pocket')
  expect(timeOf('job')).toEqual([])
  await undo?.()
  const { started_at, ended_at } = row
  expect(timeOf('job')).toMatchObject([{ member_id: OTHER, started_at, ended_at }])
})

test('another member’s corrected entry stays theirs', async () => {
  const row = await shown({ member_id: OTHER })
  const times = { started_at: '2026-11-23T14:30:00Z', ended_at: row.ended_at }
  await correctEntry(row.id, { work: workOf(row), ...times, reason: 'Came later' })
  expect(entriesOf(OTHER)).toMatchObject([{ ...times, corrects_id: row.id, reason: 'Came later' }])
  expect(entriesOf(ME)).toEqual([])
})

test('a removed entry keeps the reason of its correction', async () => {
  await dropEntry(await shown({ reason: 'Began earlier' }), 'A slip')
  expect(entry('entry')?.reason).toBe('Began earlier; taken out: A slip')
})

test('undoing the removal restarts the member’s own clock by its stamp; another’s is not started here', async () => {
  const runs = { ended_at: null, state: 'open', device_started_at: '2026-11-23T17:00:00Z' } as const
  const undo = await dropEntry(await shown(runs), 'A tap in the pocket')
  await undo?.()
  expect(phone?.outbox.at(-1)).toMatchObject({
    name: 'start_clock',
    args: { started_at: '2026-11-23T17:00:00Z' },
  })
  await phone?.close()
  expect(await dropEntry(await shown({ ...runs, member_id: OTHER }), 'A tap')).toBeUndefined()
})

test('agreed labor comes first: one press moves the job and starts the clock, undo reverts both', async () => {
  const server = new FakeServer()
  server.put('job', { ...born, id: 'job', stage: 'intake', number: 'J-1', mark: '' } as Job)
  server.put('quote', { ...born, id: 'quote', job_id: 'job', state: 'decided' } as Quote)
  for (const [at, decided] of (['declined', 'accepted', 'accepted'] as const).entries())
    server.put('quote_line', {
      ...born,
      id: `line${at}`,
      quote_id: 'quote',
      kind: 'labor',
      position: at,
      decided,
    } as QuoteLine & { decided: string } as never)
  phone = await Phone.open(server, { shop_id: newId(), member_id: ME })
  await phone.sync()
  shopSession.value = phone.shop
  const line = laborToStart('job')
  expect([line?.id, suggestedWork('job')?.line_id]).toEqual(['line1', 'line1'])
  const undo = line && (await startAgreed(line, 'job'))
  expect(phone.shop.view.get('job', 'job')?.stage).toBe('repair')
  expect(timeOf('job')).toMatchObject([{ line_id: 'line1', kind: 'repair', ended_at: null }])
  expect(laborToStart('job')).toBeUndefined()
  // Started work is resumed before the next line.
  expect(suggestedWork('job')?.line_id).toBe('line1')
  await undo?.()
  expect(phone.shop.view.get('job', 'job')?.stage).toBe('intake')
  expect(timeOf('job')).toEqual([])
})

test('recent work is listed once, the last clocked first, without finished jobs and rework', async () => {
  const server = new FakeServer()
  const put = (id: string, hour: number, more: Partial<TimeEntry>) => {
    const at = (minute: number) =>
      `2026-11-23T${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}:00Z`
    server.put('time_entry', {
      ...born,
      id,
      member_id: ME,
      state: 'closed',
      kind: 'repair',
      operation: '',
      line_id: null,
      cause: '',
      repairs_id: null,
      anomaly: '',
      started_at: at(0),
      ended_at: at(30),
      ...more,
    } as TimeEntry)
  }
  server.put('job', { ...born, id: 'open', stage: 'repair' } as Job)
  server.put('job', { ...born, id: 'closed', stage: 'closed' } as Job)
  put('a', 8, { job_id: 'open', operation: 'deck belt' })
  put('b', 9, { job_id: null, kind: 'shop' })
  put('c', 10, { job_id: 'open', kind: 'diagnosis' })
  put('d', 11, { job_id: 'open', operation: 'deck belt' })
  put('e', 12, { job_id: 'closed' })
  put('f', 13, { job_id: 'open', kind: 'rework', cause: 'torque' })
  put('g', 14, { job_id: 'open', kind: 'travel', member_id: OTHER })
  phone = await Phone.open(server, { shop_id: newId(), member_id: ME })
  await phone.sync()
  shopSession.value = phone.shop
  expect(recentWork().map(({ work }) => [work.kind, work.operation])).toEqual([
    ['repair', 'deck belt'],
    ['diagnosis', ''],
    ['shop', ''],
  ])
})
