import { afterEach, expect, test } from 'vitest'
import type { Job, Quote, QuoteLine, TimeEntry } from '../domain/contract'
import { daysFrom } from '../domain/labor/worked'
import { newId } from './browser/clock'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { shopSession } from './session/shopSession'
import { endedIn, jobsIn, openOrDisputedIn } from './timeReports'

const ME = '0197c000-0000-7000-8000-00000000000a'
const OTHER = '0197c000-0000-7000-8000-00000000000b'
const WEEK = daysFrom('2026-11-23', 7, 'America/New_York')
const born = { created_at: '2026-11-01T00:00:00Z', changed_at: '2026-11-01T00:00:00Z' }
let phone: Phone | undefined
let server: FakeServer

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
})

function entry(id: string, from: string, to: string | null, more: Partial<TimeEntry> = {}): TimeEntry {
  const defaults = { member_id: ME, job_id: 'job', kind: 'repair', operation: '', line_id: null } as const
  const state = to === null ? 'open' : 'closed'
  return { ...born, id, ...defaults, started_at: from, ended_at: to, state, ...more } as TimeEntry
}

async function phoneWith(...entries: TimeEntry[]): Promise<void> {
  server = new FakeServer()
  for (const row of entries) server.put('time_entry', row)
  server.put('job', { ...born, id: 'job', stage: 'closed', machine_id: 'machine' } as Job)
  server.put('quote', { ...born, id: 'quote', job_id: 'job', state: 'decided' } as Quote)
  const line = { ...born, quote_id: 'quote', kind: 'labor', words: 'Fit brushes', hours: '1.5', position: 0 }
  server.put('quote_line', { ...line, id: 'line', decided: 'accepted', operation: 'brushes' } as QuoteLine)
  server.put('quote_line', { ...line, id: 'no', decided: 'declined', operation: '' } as QuoteLine)
  phone = await Phone.open(server, { shop_id: newId(), member_id: ME })
  await phone.sync()
  shopSession.value = phone.shop
}

test('a member without the permission sees only their own hours', async () => {
  await phoneWith(
    entry('mine', '2026-11-23T14:00:00Z', '2026-11-23T15:00:00Z'),
    entry('theirs', '2026-11-23T14:00:00Z', '2026-11-23T15:00:00Z', { member_id: OTHER }),
  )
  expect(endedIn(WEEK).map(({ id }) => id)).toEqual(['mine'])
})

test('running and disputed entries are listed apart, replaced ones nowhere', async () => {
  await phoneWith(
    entry('counts', '2026-11-23T04:00:00Z', '2026-11-23T06:00:00Z'),
    entry('before', '2026-11-23T03:00:00Z', '2026-11-23T05:00:00Z', { state: 'replaced' }),
    entry('disputed', '2026-11-24T14:00:00Z', '2026-11-24T15:00:00Z', { state: 'disputed' }),
    entry('runs', '2026-11-25T14:00:00Z', null),
    entry('after', '2026-11-30T05:00:00Z', '2026-11-30T06:00:00Z'),
  )
  expect(endedIn(WEEK).map(({ id }) => id)).toEqual(['counts'])
  expect(openOrDisputedIn(WEEK).map(({ id }) => id)).toEqual(['disputed', 'runs'])
})

test('a revision that nobody decided is not compared', async () => {
  await phoneWith(entry('worked', '2026-11-23T14:00:00Z', '2026-11-23T15:00:00Z', { line_id: 'line' }))
  const revision = { ...born, job_id: 'job', replaces_id: 'quote', id: 'revision', state: 'offered' } as Quote
  const line = {
    ...born,
    id: 'revised',
    quote_id: 'revision',
    kind: 'labor',
    hours: '9',
    position: 0,
  } as QuoteLine
  server.put('quote', revision)
  server.put('quote_line', { ...line, words: 'Fit brushes', decided: 'open' })
  await phone?.sync()
  expect(jobsIn(WEEK)[0]?.progress).toMatchObject({ quoted: 5400, billed: 5400, clocked: 3600 })
})

test('a job is compared with its quote in full, in the week of its last entry', async () => {
  await phoneWith(
    entry('last week', '2026-11-17T14:00:00Z', '2026-11-17T15:00:00Z', { line_id: 'line' }),
    entry('theirs', '2026-11-23T14:00:00Z', '2026-11-23T14:20:00Z', {
      member_id: OTHER,
      operation: 'Brushes',
    }),
    entry('road', '2026-11-23T15:00:00Z', '2026-11-23T16:00:00Z', { kind: 'travel' }),
  )
  const [found] = jobsIn(WEEK)
  expect(found?.progress).toMatchObject({ quoted: 5400, billed: 5400, clocked: 4800, elsewhere: 0 })
  expect(found?.finished).toBe(true)
  const [earlier] = jobsIn(daysFrom('2026-11-16', 7, 'America/New_York'))
  expect([earlier?.progress.clocked, earlier?.finished]).toEqual([4800, false])
})
