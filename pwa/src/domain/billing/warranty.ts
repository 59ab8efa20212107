/**
 * Warranty of a billed line by days and hours of the meter, both ends included.
 *
 * Twin: `shopapi/billing/rules/warranty.py`, which explains it; both run `fixtures/billing/warranty.json` and
 * `credited_lines.json`.
 */
import {
  compare,
  type DecimalText,
  type Exact,
  exact,
  minus,
  plainDecimal,
  plus,
} from '../numbers/decimal.ts'
import { plainAmount } from '../numbers/money.ts'
import { type Day, daysAfter } from '../time.ts'

export type WarrantyState = 'none' | 'covered' | 'over_by_days' | 'over_by_hours' | 'cannot_say'

/** A reading of the hour meter; a replaced meter begins a new segment. */
export interface MeterHours {
  readonly segment: number
  readonly hours: DecimalText
  readonly read_on: Day
}

/** `from_on`: the day of the invoice. */
export interface WarrantyTerms {
  readonly from_on: Day
  readonly days: number | null
  readonly hours: DecimalText | null
}

/** `through`: the last day; `through_hours`: the last hour as the present meter shows it. Null: no such end, or not known. */
export interface WarrantyStanding {
  readonly state: WarrantyState
  readonly through: Day | null
  readonly through_hours: DecimalText | null
}

interface Run {
  readonly first: Exact
  readonly last: Exact
}

const NONE = exact(0)

/** What ran on one segment; a reading lower than the one before is a mistake. */
function ran({ first, last }: Run): Exact {
  return compare(last, first) > 0 ? minus(last, first) : NONE
}

/** The segments of the meter between two days, both included; empty without a reading by the first of them. */
function runsOf(readings: readonly MeterHours[], from_on: Day, through: Day): Run[] {
  const known = readings
    .filter(({ read_on }) => read_on <= through)
    .sort((a, b) => a.segment - b.segment || (a.read_on < b.read_on ? -1 : a.read_on > b.read_on ? 1 : 0))
  const start = known.findLast(({ read_on }) => read_on <= from_on)
  if (!start) return []
  const segments = [...new Set(known.map(({ segment }) => segment))].filter((one) => one >= start.segment)
  return segments.map((segment) => {
    const read = known.filter((one) => one.segment === segment).map(({ hours }) => hours)
    const first = segment === start.segment ? start.hours : (read[0] ?? '0')
    return { first: exact(first), last: exact(read.at(-1) ?? first) }
  })
}

const total = (runs: readonly Run[]): Exact => runs.map(ran).reduce(plus, NONE)

/** A sum of plain numbers as text. */
const textOf = ({ n, d }: Exact): DecimalText => plainDecimal(plainAmount(Number((n * 1_000_000n) / d), 6))

/** Whether a line is covered on a day, and until when. */
export function warrantyStanding(
  terms: WarrantyTerms,
  on: Day,
  readings: readonly MeterHours[],
): WarrantyStanding {
  const { from_on, days, hours } = terms
  const through = days === null ? null : daysAfter(from_on, days)
  const runs = runsOf(readings, from_on, on)
  const present = runs.at(-1)
  const through_hours =
    hours !== null && present
      ? textOf(minus(plus(present.first, exact(hours)), total(runs.slice(0, -1))))
      : null
  return { state: stateOf(terms, on, readings, runs, through), through, through_hours }
}

function stateOf(
  { from_on, days, hours }: WarrantyTerms,
  on: Day,
  readings: readonly MeterHours[],
  runs: readonly Run[],
  through: Day | null,
): WarrantyState {
  if (days === null && hours === null) return 'none'
  if (through !== null && on > through) return 'over_by_days'
  if (hours === null) return 'covered'
  if (runs.length && compare(total(runs), exact(hours)) > 0) return 'over_by_hours'
  const readSince = readings.some(({ read_on }) => from_on < read_on && read_on <= on)
  return runs.length && (on <= from_on || readSince) ? 'covered' : 'cannot_say'
}

/** By what a line of a credit note is known as one of its invoice. */
export interface LineMark {
  readonly position: number
  readonly kind: string
  readonly quote_line_id: string | null
  readonly need_id: string | null
}

const markOf = ({ position, kind, quote_line_id, need_id }: LineMark) =>
  [position, kind, quote_line_id, need_id].join('|')

/** The lines of an invoice that no credit note takes back; each credited line takes back one. */
export function notCredited<Line extends LineMark>(
  lines: readonly Line[],
  credited: readonly LineMark[],
): Line[] {
  const taken = credited.map(markOf)
  return lines.filter((line) => {
    const at = taken.indexOf(markOf(line))
    if (at >= 0) taken.splice(at, 1)
    return at < 0
  })
}
