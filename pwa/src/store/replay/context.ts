import type { CommandName, CompleteArguments, Kind, Rows } from '../../domain/contract'
import { DEFAULTS } from '../../domain/contractDefaults'
import { NO_LONGER_NEEDED } from '../../domain/messages/replays'
import { type Day, dayIn, type Moment, moment } from '../../domain/time'
import type { ReplayRows } from '../rows/overlay'

/** The context of a replay: the command's time by the phone's clock, its member and device. */
export interface ReplayContext {
  command_id: string
  at: Moment
  /** The known skew of that clock in ms. */
  ahead_ms: number
  member_id: string
  device_id: string
}

export type Replay<Name extends CommandName> = (
  rows: ReplayRows,
  args: CompleteArguments<Name>,
  context: ReplayContext,
) => void
export type Replays<Name extends CommandName> = { [N in Name]: Replay<N> }

/** Defaults of fields that no command sets, some from the row's creator and time. */
const DERIVED_FIELDS: { readonly [K in Kind]?: (context: ReplayContext) => Partial<Rows[K]> } = {
  meter_reading: ({ member_id }) => ({ segment: 1, noted_by_id: member_id }),
  service_record: ({ member_id }) => ({ noted_by_id: member_id }),
  limit: () => ({ version: 1 }),
  job: (context) => ({ opened_at: correctedTime(context.at, context) }),
  complaint: ({ member_id }) => ({ taken_by_id: member_id }),
  finding: ({ member_id }) => ({ found_by_id: member_id }),
  reading: ({ member_id }) => ({ taken_by_id: member_id }),
  check: ({ member_id }) => ({ checked_by_id: member_id }),
  intake_terms: ({ member_id }) => ({ member_id }),
  safety_item: ({ member_id }) => ({ noted_by_id: member_id }),
  safety_acknowledgement: ({ member_id }) => ({ member_id }),
  run_test: ({ member_id }) => ({ member_id }),
  caution_seen: ({ member_id }) => ({ member_id }),
  circuit_observation: ({ member_id }) => ({ seen_by_id: member_id }),
  removal_step: ({ member_id }) => ({ taken_by_id: member_id, back_at: null, back_by_id: null }),
  fastener_move: ({ member_id }) => ({ member_id }),
  part_need: () => ({ state: 'wanted' }),
  part_search: ({ member_id }) => ({ member_id }),
  part_order: () => ({ state: 'draft', pdf_state: 'none' }),
  part_order_line: () => ({ answer: 'open' }),
  part_arrival: ({ member_id }) => ({ member_id }),
  part_return: () => ({ state: 'to_send' }),
  stock_move: ({ member_id }) => ({
    need_id: null,
    counterpart_id: null,
    counted_level: null,
    note: '',
    member_id,
  }),
  attachment: ({ member_id }) => ({ added_by_id: member_id }),
  time_entry: () => ({ state: 'open' }),
  quote: () => ({ revision: 1, pdf: { state: 'none', reason: null, url: null, bytes: null } }),
  // Until the server has it, the phone's time is used as the time of receipt.
  approval: ({ at, member_id, device_id }) => ({ received_at: at, member_id, device_id }),
  approval_link: ({ member_id }) => ({ created_by_id: member_id }),
  hand_over: ({ member_id }) => ({ member_id }),
  run: () => ({ driver_id: null }),
  plan_request: ({ member_id }) => ({ driver_id: null, asked_by_id: member_id }),
  notice: ({ member_id }) => ({ has_link: false, state: 'waiting', member_id }),
  opt_out: ({ member_id }) => ({ member_id }),
  invoice: () => ({ issued_at: null, issued_by_id: null, shown: null, digest: null }),
  payment: ({ member_id }) => ({ member_id }),
  period_close: ({ member_id }) => ({ member_id }),
}

/**
 * A new row with the defaults of its kind. In an existing row only the given fields change, so fields set by the server
 * stay.
 */
export function newRow<K extends Kind>(
  rows: ReplayRows,
  kind: K,
  fields: { id: string } & Partial<Rows[K]>,
  context: ReplayContext,
): Rows[K] {
  return {
    ...DEFAULTS[kind],
    ...DERIVED_FIELDS[kind]?.(context),
    created_at: context.at,
    ...rows.get(kind, fields.id),
    ...fields,
    changed_at: context.at,
  } as unknown as Rows[K]
}

export function addRow<K extends Kind>(
  rows: ReplayRows,
  kind: K,
  fields: { id: string } & Partial<Rows[K]>,
  context: ReplayContext,
): void {
  rows.put(kind, newRow(rows, kind, fields, context))
}

/** Changes fields of a row; does nothing without the row. */
export function editRow<K extends Kind>(
  rows: ReplayRows,
  kind: K,
  id: string,
  set: Partial<Rows[K]>,
  context: ReplayContext,
): void {
  const row = rows.get(kind, id)
  if (row) rows.put(kind, { ...row, ...set, changed_at: context.at })
}

/** The replay of a command that sets fields of the row it names, in the states in which `may` allows it. */
export function settingFields<
  K extends Kind,
  Args extends { id: string },
  const Fields extends Partial<Rows[K]>,
>(
  kind: K,
  fields: (args: Args, context: ReplayContext) => Fields,
  may: (row: Rows[K]) => boolean = () => true,
): (rows: ReplayRows, args: Args, context: ReplayContext) => void {
  return (rows, args, context) => {
    const row = rows.get(kind, args.id)
    if (row && may(row)) editRow(rows, kind, args.id, fields(args, context), context)
  }
}

/** The true time at which a phone showed a stamp. Twin: `Actor.instant_of`. */
export function correctedTime(stamp: Moment, { ahead_ms }: ReplayContext): Moment {
  return ahead_ms === 0 ? stamp : moment(Date.parse(stamp) - ahead_ms)
}

/** The shop's zone; UTC until the shop's row has been fetched. */
export function zoneOf(rows: ReplayRows): string {
  return rows.all('shop')[0]?.zone || 'UTC'
}

/** The date in the shop's zone at an instant. */
export function dayAt(rows: ReplayRows, at: Moment): Day {
  return dayIn(zoneOf(rows), Date.parse(at))
}

/** The date in the shop's zone on which a command was made. */
export function todayOf(rows: ReplayRows, context: ReplayContext): Day {
  return dayAt(rows, correctedTime(context.at, context))
}

/** Withholds what has not gone out of these messages about a row: it is no longer so, or was answered. */
export function withholdUnsent(
  rows: ReplayRows,
  about_id: string,
  templates: readonly string[],
  context: ReplayContext,
): void {
  const because = { code: 'no_longer_needed', context: {} } as const
  for (const { id, template, state } of rows.where('notice', 'about_id', about_id))
    if (templates.includes(template) && (state === 'waiting' || state === 'by_hand'))
      editRow(rows, 'notice', id, { state: 'withheld', reason: NO_LONGER_NEEDED, because }, context)
}
