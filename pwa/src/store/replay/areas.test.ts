import { beforeEach, expect, test } from 'vitest'
import type { Command, Invoice, Kind, PlanAnswer, Row, Rows } from '../../domain/contract'
import { DEFAULTS } from '../../domain/contractDefaults'
import { basis } from '../fakes/book'
import type { OutboxEntry } from '../queue/entry'
import { RowsView } from '../rows/view'
import { loadReplays } from './replay'

/** The optimistic result on the phone equals the server's. */

await loadReplays()

const book = basis as Invoice['basis']
const WHO = { member_id: 'member', device_id: 'device' }
/** 8 PM on May 1 in Boise, May 2 in UTC. */
const EVENING = '2026-05-02T02:00:00.000Z'

let view: RowsView
let no: number

beforeEach(() => {
  view = new RowsView(WHO)
  no = 0
})

function given<K extends Kind>(kind: K, ...rows: ({ id: string } & Partial<Rows[K]>)[]): void {
  view.refresh({
    rows: rows.map((row) => {
      const full = { created_at: EVENING, changed_at: EVENING, ...DEFAULTS[kind], ...row }
      return [kind, row.id, full as unknown as Row] as const
    }),
    outbox: view.outbox.value,
  })
}

function does(command: Command, how: Partial<OutboxEntry> = {}): void {
  no += 1
  const entry = { id: `command-${no}`, no, device_id: 'device', wall: EVENING, status: 'waiting', ...how }
  view.append([{ ...entry, ...command } as OutboxEntry])
}

const inBoise = () => given('shop', { id: 'shop', zone: 'America/Boise' })
const planned = () => view.all('plan_request').map(({ id, days, cause, state }) => [id, days, cause, state])

const urgent = (id: string, plan_id: string | null): Command => ({
  name: 'ask_urgent_stop',
  args: { id, job_id: 'job', kind: 'pickup', site_id: 'site', plan_id },
})

test('in the evening today is the day of the shop, not of UTC', () => {
  inBoise()
  does(urgent('stop', 'plan'))
  expect(view.get('stop', 'stop')).toMatchObject({ priority: 'first', promised_on: '2026-05-01' })
  expect(planned()).toEqual([['plan', ['2026-05-01'], 'urgent', 'waiting']])
})

test('a meter read at a hand-over is read on the day of the shop', () => {
  inBoise()
  given('job', { id: 'job', machine_id: 'machine', stage: 'ready' })
  given('stop', { id: 'stop', job_id: 'job', kind: 'return', state: 'arrived' })
  does({
    name: 'hand_over',
    args: {
      id: 'over',
      stop_id: 'stop',
      at: EVENING,
      condition: [],
      meter: { id: 'reading', hours: '12.5', new_segment: false },
      keys: '',
      fuel: 'half',
      accessories: '',
      runs: true,
      made_safe: [],
      as_left: [],
      acknowledged: [],
      amount_due_minor: null,
      signer_name: '',
      digest: null,
      signature: null,
    },
  })
  expect(view.get('meter_reading', 'reading')).toMatchObject({ read_on: '2026-05-01', segment: 1 })
  expect(view.get('job', 'job')?.stage).toBe('returned')
})

test('times are corrected by the known skew of the phone’s clock', () => {
  given('run', { id: 'run', state: 'planned', day: '2026-05-02' })
  does({ name: 'start_run', args: { id: 'run', at: EVENING, clock_id: null } }, { ahead_ms: 90_000 })
  expect(view.get('run', 'run')?.started_at).toBe('2026-05-02T01:58:30.000Z')
})

const failing = (plan_id: string): Command => ({
  name: 'fail_stop',
  args: { id: 'stop', at: EVENING, reason: 'nobody_home', note: '', again_id: null, plan_id },
})

test.each([
  ['on a run of today', { state: 'driving', day: '2026-05-01' }, 'driving', true],
  ['on a run of another day', { state: 'driving', day: '2026-04-30' }, 'driving', false],
  ['on a run that is over', { state: 'done', day: '2026-05-01' }, 'arrived', false],
  ['that had failed already', { state: 'driving', day: '2026-05-01' }, 'failed', false],
  ['that was done and left', { state: 'driving', day: '2026-05-01' }, 'left', false],
] as const)('a failed stop %s requests a plan where the server does', (_, run, state, asks) => {
  inBoise()
  given('run', { id: 'run', ...run })
  given('stop', { id: 'stop', run_id: 'run', state })
  does(failing('plan'))
  expect(planned()).toEqual(asks ? [['plan', ['2026-05-01'], 'no_show', 'waiting']] : [])
  expect(view.get('stop', 'stop')?.state).toBe(state === 'left' ? 'left' : 'failed')
})

test('a new plan of the rest of the day replaces an unfinished one', () => {
  const plan = (id: string, from_now: boolean): Command => ({
    name: 'request_plan',
    args: { id, days: ['2026-05-02'], seed: 1, seconds: 5, from_now },
  })
  does(plan('old', true))
  does(plan('whole', false))
  does(plan('new', true))
  expect(view.get('plan_request', 'old')).toMatchObject({ state: 'cancelled' })
  expect(view.get('plan_request', 'whole')).toMatchObject({ state: 'waiting', error: '' })
  expect(view.get('plan_request', 'new')).toMatchObject({ state: 'waiting' })
})

test.each([
  ['a mechanic who drives today', 'mechanic', 'member', 'member'],
  ['a mechanic who does not', 'mechanic', 'other', null],
  ['the office', 'office', 'member', null],
] as const)(
  'an urgent call of %s is planned for whom the server plans it',
  (_, role, driver_id, expected) => {
    inBoise()
    given('member', { id: 'member', role })
    given('run', { id: 'run', day: '2026-05-01', driver_id, state: 'planned' })
    does(urgent('stop', 'plan'))
    expect(view.get('plan_request', 'plan')?.driver_id).toBe(expected)
  },
)

test('an applied plan becomes runs; left-out stops are unplanned, a run without stops is cancelled', () => {
  const [day, at] = ['2026-05-01', '2026-05-01T15:00:00Z']
  given('rig', { id: 'rig', driver_id: 'driver' })
  given('run', { id: 'emptied', rig_id: 'rig', day, state: 'planned' })
  given('stop', { id: 'served' }, { id: 'left', run_id: 'emptied', state: 'planned' })
  const stop = { stop_id: 'served', trip: 0, position: 0, starts_at: at, leaves_at: at }
  const times = { arrives_from: at, arrives_at: at, arrives_to: at }
  const figures = { leaves_at: at, home_at: at, metres: 9, drive_seconds: 9 }
  const drawn = { cautions: [], margins: [], decks: [], legs: [] }
  const run = { run_id: 'run', rig_id: 'rig', day, ...figures, ...drawn, stops: [{ ...stop, ...times }] }
  const noTime = { code: 'no_time', message: 'alone_no_time', context: {}, words: '' } as const
  const answer: PlanAnswer = {
    ...{ runs: [run], left_out: [{ stop_id: 'left', ...noTime }], metres: 9, touches: [] },
    ...{ proven: true, complete: true, roads: 'rule', remarks: [] },
  }
  given('plan_request', { id: 'plan', days: [day], state: 'done', answer })
  does({ name: 'take_plan', args: { id: 'plan' } })
  expect(view.get('run', 'run')).toMatchObject({ driver_id: 'driver', plan_id: 'plan', ...figures })
  expect(view.get('stop', 'served')).toMatchObject({ run_id: 'run', state: 'planned', ...times })
  expect(view.get('stop', 'left')).toMatchObject({ run_id: null, state: 'asked' })
  expect(view.get('run', 'emptied')?.state).toBe('cancelled')
  expect(view.get('plan_request', 'plan')?.taken_at).toBe(EVENING)
})

test('settling a conflict keeps a value that has changed again since', () => {
  given('customer', { id: 'customer', name: 'Ada', phone: '3', notes: 'b' })
  const theirs = { phone: '1', notes: 'b' }
  const ours = { phone: '2', notes: 'c' }
  const about = { entity_kind: 'customer', entity_id: 'customer', theirs, ours } as const
  given('issue', { id: 'issue', kind: 'conflict', state: 'open', ...about })
  does({ name: 'settle_issue', args: { id: 'issue', choice: 'ours' } })
  expect(view.get('customer', 'customer')).toMatchObject({ phone: '3', notes: 'c' })
})

test('a new text of a message replaces the old one', () => {
  const words = { key: 'on_my_way', channel: 'sms', subject: '', body: 'Soon' } as const
  given('notice_template', { id: 'known', ...words })
  does({ name: 'put_notice_template', args: { ...words, id: 'new', body: 'Now' } })
  expect(view.all('notice_template').map(({ id, body }) => [id, body])).toEqual([['known', 'Now']])
})

test('a removed customer, machine or site is gone', () => {
  given('customer', { id: 'customer', name: 'Ada' })
  given('machine', { id: 'machine', customer_id: 'customer' })
  given('site', { id: 'site', customer_id: 'customer' })
  does({ name: 'remove_machine', args: { id: 'machine' } })
  does({ name: 'remove_site', args: { id: 'site' } })
  does({ name: 'remove_customer', args: { id: 'customer' } })
  expect([view.all('machine'), view.all('site'), view.all('customer')]).toEqual([[], [], []])
})

const WORK = {
  kind: 'shop',
  job_id: null,
  operation: '',
  line_id: null,
  cause: null,
  repairs_id: null,
} as const
const CLOCKED = {
  ...WORK,
  cause: '',
  id: 'entry',
  member_id: 'member',
  device_id: 'device',
  started_at: '2026-05-01T10:00:00Z',
  ended_at: '2026-05-01T12:00:00Z',
  device_started_at: '2026-05-01T10:01:00.000Z',
  device_ended_at: '2026-05-01T12:01:00.000Z',
  start_skew_ms: 60_000,
  end_skew_ms: 60_000,
  state: 'closed',
} as const

test('a corrected entry keeps the stamps of unchanged times, in any notation of seconds', () => {
  given('time_entry', CLOCKED)
  const correct = (id: string, started_at: string, ended_at: string): Command => ({
    name: 'correct_entry',
    args: { ...WORK, id, entry_id: 'entry', started_at, ended_at, reason: 'lunch' },
  })
  does(correct('new', '2026-05-01T10:00:00.000Z', '2026-05-01T11:30:00.000Z'))
  const { device_started_at, start_skew_ms } = CLOCKED
  expect(view.get('time_entry', 'new')).toMatchObject({
    ...{ device_started_at, start_skew_ms, device_ended_at: null, end_skew_ms: 0 },
    ...{ ended_at: '2026-05-01T11:30:00.000Z', corrects_id: 'entry', state: 'closed', reason: 'lunch' },
  })
  expect(view.get('time_entry', 'entry')?.state).toBe('replaced')
})

test('an uncorrected stamp from a phone without the correction counts as unchanged', () => {
  given('time_entry', CLOCKED)
  const { device_started_at: started_at, device_ended_at: ended_at } = CLOCKED
  does({
    name: 'correct_entry',
    args: { ...WORK, id: 'new', entry_id: 'entry', started_at, ended_at, reason: 'the job' },
  })
  const { id, state, ...kept } = CLOCKED
  expect(view.get('time_entry', 'new')).toMatchObject(kept)
})

test('two ends of one clock are both stored, and disputed', () => {
  given('time_entry', CLOCKED)
  does({ name: 'stop_clock', args: { id: 'entry', ended_at: '2026-05-01T12:00:30.000Z' } })
  expect(view.all('time_entry')).toHaveLength(1)
  does({ name: 'stop_clock', args: { id: 'entry', ended_at: '2026-05-01T13:00:00.000Z' } })
  expect(view.all('time_entry').map(({ id, state, ended_at }) => [id, state, ended_at])).toEqual([
    ['entry', 'disputed', '2026-05-01T12:00:00Z'],
    ['command-2', 'disputed', '2026-05-01T13:00:00.000Z'],
  ])
})

test('a settled dispute closes its issue', () => {
  given('time_entry', { ...CLOCKED, state: 'disputed', anomaly: 'too_long' })
  given('issue', { id: 'issue', entity_kind: 'time_entry', entity_id: 'entry', state: 'open' })
  does({ name: 'settle_entries', args: { id: 'entry' } })
  expect(view.get('time_entry', 'entry')).toMatchObject({ state: 'closed', anomaly: '' })
  expect(view.get('issue', 'issue')?.state).toBe('resolved')
})

test('a breakdown ends only the run of today, and replans once', () => {
  inBoise()
  given('rig', { id: 'rig' })
  const on = { rig_id: 'rig', state: 'locked' } as const
  given('run', { id: 'today', day: '2026-05-01', ...on }, { id: 'later', day: '2026-05-02', ...on })
  given('stop', { id: 'stop', run_id: 'today', state: 'planned' })
  const broken = (plan_id: string): Command => ({
    name: 'report_breakdown',
    args: { id: 'rig', at: EVENING, note: 'axle', plan_id },
  })
  does(broken('first'))
  does(broken('second'))
  expect(view.all('run').map(({ id, state }) => [id, state])).toEqual([
    ['later', 'locked'],
    ['today', 'cancelled'],
  ])
  expect(view.get('stop', 'stop')).toMatchObject({ state: 'asked', run_id: null })
  expect(planned()).toEqual([['first', ['2026-05-01'], 'breakdown', 'waiting']])
})

test('a pickup from a broken-down rig follows its recorded position, and ends once it runs', () => {
  given('rig', { id: 'rig', out_at: EVENING })
  given('stop', { id: 'stop', from_rig_id: 'rig', state: 'asked', place: 'somewhere' })
  does({
    name: 'report_breakdown',
    args: { id: 'rig', at: EVENING, note: '', lat: '43.6', lon: '-116.2', plan_id: null },
  })
  expect(view.get('stop', 'stop')).toMatchObject({ lat: '43.6', lon: '-116.2', place: 'somewhere' })
  does({ name: 'repair_rig', args: { id: 'rig' } })
  expect(view.get('stop', 'stop')?.state).toBe('dropped')
  expect(view.get('rig', 'rig')).toMatchObject({ out_at: null, out_note: '' })
})

test('a job moves only to a stage that follows', () => {
  given('job', { id: 'job', stage: 'intake' })
  does({ name: 'move_job', args: { id: 'job', stage: 'returned' } })
  expect(view.get('job', 'job')?.stage).toBe('intake')
  does({ name: 'move_job', args: { id: 'job', stage: 'repair' } })
  expect(view.get('job', 'job')?.stage).toBe('repair')
})

test('a quote that is a draft again, as after a refused offer, has no approval request', () => {
  given('quote', { id: 'quote', state: 'draft', valid_until: null })
  does({ name: 'send_approval_request', args: { id: 'link', quote_id: 'quote', channel: 'qr' } })
  expect(view.all('approval_link')).toEqual([])
})

test('a job that was ready remembers when it was worked on again', () => {
  given('job', { id: 'job', stage: 'ready' })
  const moved = (stage: 'repair' | 'testing' | 'ready' | 'returned') => {
    does({ name: 'move_job', args: { id: 'job', stage } })
    return view.get('job', 'job')?.resumed_work.map(({ ready_at }) => ready_at !== null)
  }
  expect(moved('returned')).toEqual([])
  expect(moved('ready')).toEqual([])
  expect(moved('repair')).toEqual([false])
  expect(moved('testing')).toEqual([false])
  expect(moved('ready')).toEqual([true])
  expect(moved('testing')).toEqual([true, false])
})

test('whether a part is above the agreed price follows an edit of its cost', () => {
  given('part_need', { id: 'need', line_id: null, agreed_minor: 2000, cost_minor: 1000, price_minor: null })
  given('price_book', {
    id: 'book',
    prices: { ...book, part_bands: [{ up_to_minor: null, markup_percent: '40' }] },
  })
  const above = (set: object) => {
    does({ name: 'edit_part_need', args: { id: 'need', base: {}, set } })
    return view.get('part_need', 'need')?.above_agreed
  }
  expect(above({ cost_minor: 1430 })).toBe(true)
  expect(above({ cost_minor: 1428 })).toBe(false)
  expect(above({ price_minor: 2001 })).toBe(true)
  expect(above({ price_minor: null })).toBe(false)
})

test('no line leaves the credit note of a whole invoice', () => {
  const whole = { ...book, labor_minimum_minor: 5000 }
  given('invoice', { id: 'note', kind: 'credit_note', state: 'draft', basis: whole })
  given('invoice_line', { id: 'line', invoice_id: 'note', kind: 'fee', fixed_minor: 5000, words: 'Fee' })
  does({ name: 'remove_invoice_line', args: { id: 'line' } })
  expect(view.get('invoice_line', 'line')?.words).toBe('Fee')
  given('invoice', { id: 'note', basis: { ...book, labor_minimum_minor: 0, credit_diagnosis: false } })
  does({ name: 'remove_invoice_line', args: { id: 'line' } })
  expect(view.get('invoice_line', 'line')).toBeUndefined()
})

test('a job is not ready while a safety finding is open, with no signal either', () => {
  given('job', { id: 'job', stage: 'testing' })
  given('stop', { id: 'stop', job_id: 'job', kind: 'pickup', state: 'arrived' })
  does({
    name: 'hand_over',
    args: {
      id: 'over',
      stop_id: 'stop',
      at: EVENING,
      condition: [{ part: 'guards', state: 'missing', note: 'Chute gone' }],
    },
  })
  const words = 'Guards and chute: missing. Chute gone'
  expect(view.get('finding', 'over')).toMatchObject({ job_id: 'job', rank: 'safety', decided: 'open', words })
  does({ name: 'move_job', args: { id: 'job', stage: 'ready' } })
  expect(view.get('job', 'job')?.stage).toBe('testing')
  const acknowledge = (id: string, finding_words: string): Command => ({
    name: 'acknowledge_finding',
    args: {
      id,
      finding_id: 'over',
      finding_words,
      protection_lost: 'Stones fly',
      acknowledged_by_name: 'Winnie Stroud',
      how: 'in_person',
      acknowledged_at: EVENING,
    },
  })
  does(acknowledge('one', 'Something else'))
  expect(view.get('finding', 'over')?.decided).toBe('declined')
  does({ name: 'move_job', args: { id: 'job', stage: 'ready' } })
  expect(view.get('job', 'job')?.stage).toBe('testing')
  does(acknowledge('two', words))
  expect(view.get('safety_acknowledgement', 'two')).toMatchObject({ member_id: 'member', note: '' })
  does({ name: 'move_job', args: { id: 'job', stage: 'ready' } })
  expect(view.get('job', 'job')?.stage).toBe('ready')
})

test('a safety item keeps its job from ready until it works, as on the server', () => {
  given('job', { id: 'job', stage: 'testing', machine_id: 'machine' })
  const ready = () => {
    does({ name: 'move_job', args: { id: 'job', stage: 'ready' } })
    return view.get('job', 'job')?.stage === 'ready'
  }
  const device = { device: 'seat_switch', condition: 'bypassed', protection_lost: 'Runs on' } as const
  does({ name: 'record_safety_item', args: { id: 'item', job_id: 'job', ...device } })
  expect(view.get('finding', 'item')).toMatchObject({ words: 'Seat switch: bypassed', rank: 'safety' })
  expect(view.get('safety_item', 'item')).toMatchObject({
    machine_id: 'machine',
    finding_id: 'item',
    interim: '',
    repaired: false,
    noted_by_id: 'member',
  })
  expect(ready()).toBe(false)
  does({
    name: 'note_part_search',
    args: { id: 'item', where: 'Dealer', answer: 'Gone', asked_at: EVENING },
  })
  expect(view.get('safety_item', 'item')?.part_search).toEqual([
    { where: 'Dealer', answer: 'Gone', asked_at: EVENING, member_id: 'member' },
  ])
  given('finding', { ...view.get('finding', 'item'), decided: 'accepted' } as Rows['finding'])
  expect(ready()).toBe(false)
  does({ name: 'repair_safety_item', args: { id: 'item', tried_at: EVENING, tries: 3, seen: 'Works' } })
  expect(view.get('safety_item', 'item')?.repaired).toBe(true)
  does({ name: 'reopen_safety_item', args: { id: 'item', tried_at: EVENING, seen: 'Runs on' } })
  expect(view.get('safety_item', 'item')?.trials).toMatchObject([
    { works: true, tries: 3 },
    { works: false, tries: null },
  ])
  expect(ready()).toBe(false)
})

test('an acknowledgement keeps the safety items as told; a shop may hand nothing back bypassed', () => {
  given('shop', { id: 'shop', no_bypass: false })
  given('job', { id: 'job', stage: 'testing' })
  const device = { device: 'Chute', condition: 'missing', protection_lost: 'Stones fly' } as const
  does({ name: 'record_safety_item', args: { id: 'item', job_id: 'job', ...device } })
  does({
    name: 'acknowledge_finding',
    args: {
      id: 'told',
      finding_id: 'item',
      finding_words: 'Chute: missing',
      protection_lost: 'Stones fly',
      acknowledged_by_name: 'Winnie Stroud',
      how: 'in_person',
      acknowledged_at: EVENING,
    },
  })
  expect(view.get('safety_acknowledgement', 'told')?.items).toEqual([{ item_id: 'item', ...device }])
  given('shop', { id: 'shop', no_bypass: true })
  does({ name: 'move_job', args: { id: 'job', stage: 'ready' } })
  expect(view.get('job', 'job')?.stage).toBe('testing')
  given('shop', { id: 'shop', no_bypass: false })
  does({ name: 'move_job', args: { id: 'job', stage: 'ready' } })
  expect(view.get('job', 'job')?.stage).toBe('ready')
})

test('what asks for an answer that came, or says that a machine is ready, is not sent any more', () => {
  given('job', { id: 'job', stage: 'ready' })
  given('quote', { id: 'quote', job_id: 'job', state: 'offered' })
  const about = (template: string, state: Rows['notice']['state'], about_id = 'quote') => ({
    id: `${template} ${state}`,
    template,
    state,
    about_id,
  })
  given(
    'notice',
    about('approval_request', 'by_hand'),
    about('quote_reminder', 'waiting'),
    about('approval_request', 'sent'),
    about('plain', 'by_hand'),
    about('machine_ready', 'waiting', 'job'),
  )
  does({ name: 'withdraw_quote', args: { id: 'quote' } })
  does({ name: 'move_job', args: { id: 'job', stage: 'testing' } })
  expect(Object.fromEntries(view.all('notice').map(({ id, state }) => [id, state]))).toEqual({
    'approval_request by_hand': 'withheld',
    'quote_reminder waiting': 'withheld',
    'approval_request sent': 'sent',
    'plain by_hand': 'by_hand',
    'machine_ready waiting': 'withheld',
  })
  expect(view.get('notice', 'machine_ready waiting')?.because?.code).toBe('no_longer_needed')
})
