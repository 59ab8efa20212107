import fc from 'fast-check'
import { type Command, PRICE_PARTS, type TaxProfileInput } from '../../domain/contract'
import { moment } from '../../domain/time'
import { basis } from './book'

/** Few, so that commands often meet the same row. */
export const IDS = ['a', 'b', 'c'].map(uuid)
export const id = fc.constantFrom(...IDS)
export const words = fc.constantFrom('left', 'right', 'both')

const instant = fc.integer({ min: 0, max: 20 }).map((hours) => moment(Date.UTC(2026, 4, 1, hours)))
const none = fc.constant(null)
const work = {
  kind: fc.constant('repair'),
  job_id: id,
  operation: words,
  line_id: fc.constant(null),
  cause: fc.constant(null),
  repairs_id: fc.constant(null),
}

/** Every kind of command, over few ids, so that they often meet the same row. */
export const command: fc.Arbitrary<Command> = fc.oneof(
  made('add_customer', { id, name: words }),
  edited('edit_customer', { name: words, tax_exempt: fc.boolean() }),
  made('remove_customer', { id }),
  made('add_site', { id, customer_id: id, label: words }),
  edited('edit_site', { label: words }),
  made('remove_site', { id }),
  made('add_machine', { id, customer_id: id, kind: words }),
  edited('edit_machine', { model: words }),
  made('remove_machine', { id }),
  made('record_meter', {
    id,
    machine_id: id,
    hours: fc.constantFrom('1', '2.5'),
    read_on: day(),
    new_segment: fc.boolean(),
  }),
  made('add_sheet', { id, title: words, make: words }),
  edited('edit_sheet', { model: words, archived: fc.boolean() }),
  made('remove_sheet', { id }),
  made('add_limit', {
    id,
    sheet_id: id,
    what: words,
    quantity: fc.constant('length'),
    unit: fc.constant('in'),
    nominal: fc.constantFrom('0.016', '0.02'),
    tolerance: fc.constantFrom('', '0.008'),
  }),
  edited('edit_limit', { condition: words }),
  made('remove_limit', { id }),
  made('add_sheet_entry', { id, sheet_id: id, kind: fc.constantFrom('note', 'lesson'), words }),
  edited('edit_sheet_entry', { words }),
  made('remove_sheet_entry', { id }),
  made('open_job', { id, customer_id: id, machine_id: id, mark: words }),
  edited('edit_job', { notes: words }),
  made('move_job', { id, stage: fc.constantFrom('diagnosis', 'repair', 'testing', 'ready', 'closed') }),
  made('add_complaint', { id, job_id: id, words }),
  made('record_finding', { id, job_id: id, words, rank: fc.constantFrom('safety', 'needed', 'advised') }),
  edited('edit_finding', { words }),
  made('remove_finding', { id }),
  made('acknowledge_finding', {
    id,
    finding_id: id,
    finding_words: words,
    protection_lost: words,
    acknowledged_by_name: words,
    how: fc.constantFrom('in_person', 'call', 'writing'),
    acknowledged_at: instant,
  }),
  made('acknowledge_caution', {
    id,
    job_id: id,
    code: fc.constantFrom('fuel', 'battery', 'springs'),
    seen_at: instant,
  }),
  made('record_intake_terms', {
    id,
    job_id: id,
    diagnosis_fee_minor: fc.option(fc.constant(6500)),
    diagnosis_credited: fc.boolean(),
    storage_free_days: fc.constant(30),
    storage_per_day_minor: fc.constant(300),
    accepted_by_name: words,
    accepted_at: instant,
  }),
  made('add_attachment', {
    id,
    about_kind: fc.constantFrom('finding', 'machine', 'job'),
    about_id: id,
    taken_at: instant,
    sha256: fc.constant('0'.repeat(64)),
    bytes: fc.constant(1),
    caption: words,
  }),
  edited('edit_attachment', { caption: words }),
  made('remove_attachment', { id }),
  made('start_clock', { id, started_at: instant, ends_ids: fc.uniqueArray(id), ...work }),
  made('stop_clock', { id, ended_at: instant }),
  made('add_entry', { id, started_at: instant, ended_at: instant, reason: words, ...work }),
  made('correct_entry', {
    id,
    entry_id: id,
    started_at: instant,
    ended_at: fc.option(instant),
    reason: words,
    ...work,
  }),
  made('drop_entry', { id, reason: words }),
  made('settle_entries', { id, other_id: id }),
  made('draft_quote', { id, job_id: id, kind: fc.constant('first'), mark: words, basis: fc.constant(basis) }),
  edited('edit_quote', { discount: fc.constant({ percent: '10', minor: null }) }),
  made('put_quote_line', {
    id,
    quote_id: id,
    finding_id: fc.option(id),
    position: fc.constantFrom(1, 2),
    kind: fc.constant('labor'),
    rank: fc.constant('needed'),
    words,
    hours: fc.constantFrom('1', '2.5'),
  }),
  made('remove_quote_line', { id }),
  made('offer_quote', {
    id,
    valid_until: day(),
    digest: fc.constantFrom('x', 'y'),
    total_minor: fc.constant(1),
    shown: fc.constant({ shop: 's', customer: 'c', machine: 'm', exempt: false }),
    offered_on: day(),
  }),
  made('decide_quote', {
    id,
    quote_id: id,
    revision: fc.constant(1),
    how: fc.constant('glass'),
    decided_by_name: words,
    decided_at: fc.constant('2026-05-01T10:00:00.000Z'),
    zone: fc.constant('UTC'),
    digest: fc.constantFrom('x', 'y'),
    accepted_ids: fc.subarray(IDS),
    declined_ids: fc.subarray(IDS),
    signature: fc.record({
      id,
      strokes: fc.constant([[[0, 0, 0]]]),
      width: fc.constant(10),
      height: fc.constant(10),
    }),
  }),
  made('choose_tax_profile', {
    id,
    tax_profile: fc.constant({ ...basis.tax_profiles[0], key: 'next' } as TaxProfileInput),
  }),
  made('withdraw_quote', { id }),
  made('remake_pdf', { id }),
  made('send_approval_request', { id, quote_id: id, channel: fc.constant('qr'), name: words }),
  made('revoke_approval_link', { id }),
  made('answer_customer_question', { id }),
  made('put_off_follow_up', { id, until: day() }),
  made('drop_follow_up', { id }),
  made('take_up_follow_up', { id }),
  made('record_message', {
    id,
    address: words,
    name: words,
    template: fc.constant('plain'),
    subject: words,
    body: words,
    about_kind: fc.constant('job'),
    about_id: id,
    sent_at: instant,
  }),
  made('note_sent_by_hand', { id, sent_at: instant }),
  made('send_again', { id }),
  made('put_notice_template', {
    id,
    key: words,
    channel: fc.constant('sms'),
    subject: words,
    body: words,
  }),
  made('drop_notice_template', { id }),
  made('opt_out', { id, channel: fc.constant('sms'), address: words }),
  made('opt_in', { id }),
  made('turn_on_push', { id, endpoint: words, p256dh: words, auth: words }),
  made('turn_off_push', { id }),
  edited('edit_shop', { name: words }),
  edited('edit_price_book', {
    prices: fc.constant(basis),
    confirmed: fc.subarray([...PRICE_PARTS]),
  }),
  made('set_up_yard', { id }),
  edited('edit_yard', { opens: fc.constantFrom('07:00', '08:00') }),
  made('add_rig', { id, name: words, payload_kg: fc.constantFrom(900, 1200) }),
  edited('edit_rig', { name: words }),
  made('report_breakdown', { id, at: instant, note: words, plan_id: none }),
  made('repair_rig', { id }),
  made('ask_stop', { id, job_id: id, kind: fc.constantFrom('pickup', 'return'), plan_id: none }),
  made('ask_urgent_stop', { id, job_id: id, kind: fc.constantFrom('pickup', 'visit'), plan_id: none }),
  edited('edit_stop', { notes: words }),
  made('drop_stop', { id, reason: words }),
  made('restore_stop', { id }),
  made('pin_stop', { id, rig_id: fc.option(id), at: none, after_id: none }),
  made('move_stop', { id, run_id: fc.option(id), trip: fc.constant(0), position: fc.constantFrom(0, 1) }),
  made('tell_arrival', {
    id,
    opens: instant,
    closes: instant,
    channel: fc.constant('by_hand'),
    notice_id: none,
  }),
  made('open_run', { id, rig_id: id, day: day() }),
  made('lock_run', { id }),
  made('unlock_run', { id }),
  made('cancel_run', { id }),
  made('start_run', { id, at: instant, clock_id: fc.option(id) }),
  made('end_run', { id, at: instant, clock_id: fc.option(id) }),
  made('arrive_stop', { id, at: instant, run_id: fc.option(id), clock_id: fc.option(id) }),
  made('leave_stop', { id, at: instant, clock_id: fc.option(id) }),
  made('take_back_stamp', { id, stamp: fc.constantFrom('arrived', 'left', 'failed') }),
  made('fail_stop', {
    id,
    at: instant,
    reason: fc.constantFrom('nobody_home', 'too_wet'),
    note: words,
    again_id: fc.option(id),
    plan_id: none,
  }),
  made('hand_over', {
    id,
    stop_id: id,
    at: instant,
    condition: fc.constant([]),
    meter: fc.option(fc.record({ id, hours: fc.constantFrom('1', '2.5'), new_segment: fc.boolean() })),
    keys: words,
    fuel: fc.constant('half'),
    accessories: words,
    runs: fc.boolean(),
    made_safe: fc.constant(['key_out']),
    as_left: fc.constant([]),
    acknowledged: fc.constant([]),
    amount_due_minor: none,
    signer_name: words,
    digest: none,
    signature: none,
  }),
  made('request_plan', {
    id,
    days: fc.constant(['2026-05-01']),
    seed: fc.constant(0),
    seconds: fc.constant(5),
    from_now: fc.boolean(),
  }),
  made('cancel_plan', { id }),
  made('take_plan', { id }),
  made('print_run', { id, run_id: id }),
  made('print_ticket', { id, job_id: id }),
  made('send_ticket', {
    id,
    job_id: id,
    channel: fc.constantFrom('email', 'sms'),
    address: words,
    name: words,
  }),
  made('print_tags', { id, machine_ids: fc.uniqueArray(id) }),
  made('settle_issue', { id, choice: fc.constantFrom('theirs', 'ours') }),
)

export function uuid(last: string): string {
  return `01900000-0000-7000-8000-00000000000${last}`
}

function day() {
  return fc.constantFrom('2026-05-01', '2026-05-02')
}

function made<Name extends Command['name']>(
  name: Name,
  args: Record<string, fc.Arbitrary<unknown>>,
): fc.Arbitrary<Command> {
  return fc.record(args).map((found) => ({ name, args: found }) as unknown as Command)
}

function edited<Name extends Command['name']>(
  name: Name,
  set: Record<string, fc.Arbitrary<unknown>>,
): fc.Arbitrary<Command> {
  return fc
    .record({ id, set: fc.record(set, { requiredKeys: [] }) })
    .map((found) => ({ name, args: { ...found, base: {} } }) as unknown as Command)
}
