import type { CommandName, Filled, Kind, Rows } from '../../domain/contract'
import { DEFAULTS } from '../../domain/contract'
import { type Day, dayIn, type Moment, moment } from '../../domain/time'
import type { ReplayRows } from '../rows/overlay'

/** What a replay knows besides the command: when it was made by the phone's clock, by whom, on which device. */
export interface ReplayContext {
  command_id: string
  at: Moment
  /** How far that clock was ahead, as far as the phone knew, in ms. */
  ahead_ms: number
  member_id: string
  device_id: string
}

export type Replay<Name extends CommandName> = (
  rows: ReplayRows,
  args: Filled<Name>,
  context: ReplayContext,
) => void
export type Replays<Name extends CommandName> = { [N in Name]: Replay<N> }

/** Fields that no command gives: how they begin, some from who made the row and when. */
const DERIVED_FIELDS: { readonly [K in Kind]?: (context: ReplayContext) => Partial<Rows[K]> } = {
  meter_reading: ({ member_id }) => ({ segment: 1, noted_by_id: member_id }),
  job: (context) => ({ opened_at: correctedTime(context.at, context) }),
  complaint: ({ member_id }) => ({ taken_by_id: member_id }),
  finding: ({ member_id }) => ({ found_by_id: member_id }),
  attachment: ({ member_id }) => ({ added_by_id: member_id }),
  time_entry: () => ({ state: 'open' }),
  quote: () => ({ revision: 1, paper: { state: 'none', reason: null, url: null, bytes: null } }),
  // Until the server has it, the phone's own time stands for that of its receipt.
  approval: ({ at, member_id, device_id }) => ({ received_at: at, member_id, device_id }),
  approval_link: ({ member_id }) => ({ created_by_id: member_id }),
  hand_over: ({ member_id }) => ({ member_id }),
  run: () => ({ driver_id: null }),
  plan_request: ({ member_id }) => ({ driver_id: null, asked_by_id: member_id }),
  notice: ({ member_id }) => ({ has_link: false, state: 'waiting', member_id }),
  opt_out: ({ member_id }) => ({ member_id }),
}

/**
 * A new row with the defaults of its kind. Of a row that is here already only the given fields change, so what the
 * server has made of it meanwhile stays.
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

/** Changes fields of a row; nothing where the row is not here. */
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

/** What the time really was when a phone showed a stamp. Twin: `Actor.instant_of`. */
export function correctedTime(stamp: Moment, { ahead_ms }: ReplayContext): Moment {
  return ahead_ms === 0 ? stamp : moment(Date.parse(stamp) - ahead_ms)
}

/** The shop's zone; UTC while the shop's own row has not come. */
export function zoneOf(rows: ReplayRows): string {
  return rows.all('shop')[0]?.zone || 'UTC'
}

/** The shop's day at a moment. */
export function dayAt(rows: ReplayRows, at: Moment): Day {
  return dayIn(zoneOf(rows), Date.parse(at))
}

/** The shop's day on which a command was made. */
export function todayOf(rows: ReplayRows, context: ReplayContext): Day {
  return dayAt(rows, correctedTime(context.at, context))
}
