import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import {
  type CustomerQuestion,
  type Finding,
  type FollowUp,
  type Issue,
  type Job,
  type Kind,
  type Member,
  PERMISSIONS,
  type Quote,
  type QuoteLine,
  type Rows,
  type Site,
  type Stop,
  type TimeEntry,
} from '../../../domain/contract'
import { Phone } from '../../../store/fakes/phone'
import { customerRow } from '../../../store/fakes/rows'
import { FakeServer } from '../../../store/fakes/server'
import { session } from '../../../store/session/session'
import { shopSession } from '../../../store/session/shopSession'
import { columnOf, daysWaiting, whatWaits } from './waits'

vi.hoisted(() => vi.useFakeTimers({ toFake: ['Date'], now: new Date('2026-11-20T18:00:00Z') }))

const TODAY = '2026-11-20'
let server: FakeServer
let phone: Phone

const at = (day: string) => ({
  created_at: `2026-11-${day}T12:00:00Z`,
  changed_at: `2026-11-${day}T12:00:00Z`,
})
const put = <K extends Kind>(kind: K, row: Partial<Rows[K]>) =>
  server.put(kind, { ...at('01'), ...row } as Rows[K])

/** An open job of a customer of the same name, taken in on the 2nd. */
function job(name: string, more: Partial<Job> = {}): string {
  server.put('customer', { ...customerRow(name), id: `c ${name}` })
  const row = {
    id: name,
    number: `J-${name}`,
    customer_id: `c ${name}`,
    stage: 'repair',
    waits_on: [],
  } as const
  put('job', { ...row, promised_on: null, opened_at: '2026-11-02T12:00:00Z', ...more })
  return name
}

const offer = (job_id: string, day: string, id = `q ${job_id}`) =>
  put('quote', { id, job_id, state: 'offered', offered_at: `2026-11-${day}T12:00:00Z` } as Partial<Quote>)

const unsafe = (job_id: string, more: Partial<Finding> = {}) =>
  put('finding', {
    ...at('05'),
    id: `f ${job_id}`,
    job_id,
    rank: 'safety',
    decided: 'open',
    words: 'guard',
    ...more,
  })

const stop = (job_id: string, more: Partial<Stop>) => {
  const place = { site_id: 'p', lat: null, lon: null, from_rig_id: null }
  put('stop', { ...at('08'), ...place, id: `s ${job_id}`, job_id, priority: 'usual', ...more })
}

beforeEach(() => {
  server = new FakeServer()
  put('site', { id: 'p', lat: '43.6', lon: '-116.2' } as Partial<Site>)
  put('member', { id: 'sunny', name: 'Sunny Rao' } as Partial<Member>)
  session.value = { ...session.value, permissions: PERMISSIONS.office }
})
afterEach(async () => {
  shopSession.value = null
  await phone.close()
})

async function lines() {
  phone = await Phone.open(server)
  await phone.sync()
  shopSession.value = phone.shop
  return whatWaits().map((wait) => [
    wait.on,
    wait.who,
    wait.why,
    wait.late ? 'late' : daysWaiting(wait, TODAY),
  ])
}

test('a job waits on its customer, on us or on others, by what it waits for', async () => {
  offer(job('Offered'), '14')
  job('Parts', { waits_on: ['parts'] as unknown as Job['waits_on'] })
  put('part_need', {
    id: 'belt',
    job_id: job('To order', { waits_on: ['parts'] as unknown as Job['waits_on'] }),
    state: 'wanted',
  })
  job('Asked', { waits_on: ['customer'] as unknown as Job['waits_on'] })
  job('Ready', { stage: 'ready' })
  job('Working')
  job('Closed', { stage: 'closed' })
  expect((await lines()).sort()).toEqual([
    ['customers', 'Asked', 'waiting for the customer', null],
    ['customers', 'Offered', 'answer to the quote', 6],
    ['customers', 'Ready', 'ready: to be picked up', null],
    ['others', 'Parts', 'parts', null],
    ['us', 'To order', 'parts to order', null],
    ['us', 'Working', 'repair', 18],
  ])
})

test('safety comes first: to be quoted by us, to be answered by the customer, to be recorded', async () => {
  offer(job('Open'), '14')
  unsafe('Open')
  offer(job('Quoted'), '15')
  unsafe('Quoted')
  put('quote_line', { id: 'l', quote_id: 'q Quoted', finding_id: 'f Quoted' } as Partial<QuoteLine>)
  job('Declined', { stage: 'ready' })
  unsafe('Declined', { decided: 'declined' })
  expect((await lines()).sort()).toEqual([
    ['customers', 'Quoted', 'answer on a safety repair', 5],
    ['us', 'Declined', 'safety repair declined: record that they know', 15],
    ['us', 'Open', 'safety repair to quote, 1 quote unanswered', 15],
  ])
})

test('a stop without a position is told from one that is not planned, and a planned return from a pickup', async () => {
  job('Nowhere')
  put('site', { id: 'nowhere', lat: null, lon: null } as Partial<Site>)
  stop('Nowhere', { kind: 'pickup', state: 'asked', site_id: 'nowhere' })
  job('Unplanned', { stage: 'ready' })
  stop('Unplanned', { kind: 'return', state: 'asked' })
  job('Brought', { stage: 'ready' })
  stop('Brought', { kind: 'return', state: 'planned' })
  expect((await lines()).sort()).toEqual([
    ['us', 'Brought', 'ready: to deliver', null],
    ['us', 'Nowhere', 'stop without a position', 12],
    ['us', 'Unplanned', 'stop to plan', 12],
  ])
})

test('questions, entries that two people changed, and unsettled time wait on us', async () => {
  offer(job('Asked'), '14')
  const question = { id: 'w', quote_id: 'q Asked', asked_at: '2026-11-19T12:00:00Z', answered_at: null }
  put('customer_question', question as Partial<CustomerQuestion>)
  put('issue', { ...at('10'), id: 'i', state: 'open', member_id: 'sunny' } as Partial<Issue>)
  for (const id of ['one', 'other'])
    put('time_entry', {
      id,
      member_id: 'sunny',
      state: 'disputed',
      started_at: '2026-11-18T15:00:00Z',
    } as Partial<TimeEntry>)
  expect(await lines()).toEqual([
    ['us', 'Asked', 'asked about the quote, 1 quote unanswered', 1],
    ['us', 'Sunny Rao', 'two entries to settle', 10],
    ['us', 'Sunny Rao', 'time to settle', 2],
  ])
})

test('a job past its day is late, whatever it waits on, and a follow-up is part of its line', async () => {
  offer(job('Late', { promised_on: '2026-11-13' }), '14')
  const due = { kind: 'quote_unanswered', due_on: '2026-11-16', until: null, state: 'open' } as const
  put('follow_up', {
    ...due,
    id: 'u',
    job_id: 'Late',
    customer_id: 'c Late',
    member_id: null,
  } as Partial<FollowUp>)
  put('follow_up', {
    ...due,
    id: 'v',
    kind: 'clock_running',
    job_id: null,
    member_id: 'sunny',
  } as Partial<FollowUp>)
  expect(await lines()).toEqual([
    ['customers', 'Late', 'answer to the quote', 'late'],
    ['others', 'Sunny Rao', 'clock still running', 4],
  ])
  const [late, clock] = whatWaits()
  expect([late?.followUp?.id, clock?.followUp?.id, late?.since]).toEqual(['u', 'v', '2026-11-13'])
})

test('every quote without an answer is told of, also where we have something to do first', async () => {
  offer(job('One'), '18')
  offer(job('Two'), '18')
  offer('Two', '19', 'q more')
  offer(job('Visit'), '18')
  stop('Visit', { kind: 'pickup', state: 'asked' })
  const found = await lines()
  expect(found.map(([on, who, why]) => [on, who, why]).sort()).toEqual([
    ['customers', 'One', 'answer to the quote'],
    ['customers', 'Two', '2 quotes unanswered'],
    ['us', 'Visit', expect.stringMatching(/, 1 quote unanswered$/)],
  ])
})

test('no item is in two lines, and a column begins with what is late', async () => {
  for (const name of ['A', 'B', 'C'])
    offer(job(name, name === 'B' ? { promised_on: '2026-11-19' } : {}), '14')
  offer('A', '12', 'second')
  unsafe('A')
  await lines()
  const all = whatWaits()
  expect(new Set(all.map(({ id }) => id)).size).toBe(all.length)
  expect(all.length).toBe(3)
  expect(columnOf(all, 'customers').map(({ who }) => who)).toEqual(['B', 'C'])
  expect(columnOf(all, 'us').map(({ who }) => who)).toEqual(['A'])
})
