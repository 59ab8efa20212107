/**
 * Quote lines and discounts as they are written, before any reckoning.
 *
 * What each field means is told in the twin, `shopapi/quotes/rules/lines.py`. A figure that is left
 * out is null.
 */
import { distance, percent, price } from './book.ts'
import type { DecimalText } from './decimal.ts'
import type { Minor } from './money.ts'
import {
  decimal,
  key,
  omissible,
  oneOf,
  optional,
  record,
  text,
  uuid,
  whole,
  words,
  yesOrNo,
} from './shape.ts'

export const LINE_KINDS = ['labor', 'part', 'travel', 'fee', 'supplies', 'discount'] as const
export const RANKS = ['safety', 'needed', 'advised'] as const
export type LineKind = (typeof LINE_KINDS)[number]
export type Rank = (typeof RANKS)[number]

/** So much of a finding's words fits on a line. */
export const MOST_FOUND = 2000

export interface QuoteLine {
  readonly id: string
  readonly position: number
  readonly kind: LineKind
  readonly rank: Rank
  /** What the owner reads. */
  readonly words: string
  /** What the price covers and what not, as the owner reads it. */
  readonly included?: string
  /** What was found that this mends, as the owner reads it. */
  readonly found?: string
  readonly work?: string | null
  readonly operation?: string | null
  readonly hours?: DecimalText | null
  readonly rate_key?: string | null
  readonly member_id?: string | null
  readonly quantity?: DecimalText | null
  /** What the shop pays for one; absent where the member may not see costs. */
  readonly unit_cost_minor?: Minor | null
  readonly unit_price_minor?: Minor | null
  readonly core_minor?: Minor | null
  readonly distance?: DecimalText | null
  readonly zone_key?: string | null
  readonly fixed_minor?: Minor | null
  readonly discount_percent?: DecimalText | null
  readonly discount_minor?: Minor | null
  /** What the line comes to if the work is done later. */
  readonly later_minor?: Minor | null
  readonly taxed?: boolean | null
}

/** The figures that a line of each kind may carry. */
export const FIGURES = {
  labor: [
    'work',
    'operation',
    'hours',
    'rate_key',
    'member_id',
    'fixed_minor',
    'discount_percent',
    'discount_minor',
    'later_minor',
    'taxed',
  ],
  part: [
    'quantity',
    'unit_cost_minor',
    'unit_price_minor',
    'core_minor',
    'discount_percent',
    'discount_minor',
    'later_minor',
    'taxed',
  ],
  travel: [
    'distance',
    'zone_key',
    'fixed_minor',
    'discount_percent',
    'discount_minor',
    'later_minor',
    'taxed',
  ],
  fee: [
    'work',
    'quantity',
    'unit_price_minor',
    'fixed_minor',
    'discount_percent',
    'discount_minor',
    'later_minor',
    'taxed',
  ],
  supplies: [
    'quantity',
    'unit_price_minor',
    'fixed_minor',
    'discount_percent',
    'discount_minor',
    'later_minor',
    'taxed',
  ],
  discount: ['discount_percent', 'discount_minor'],
} as const satisfies Readonly<Record<LineKind, readonly (keyof QuoteLine)[]>>

export const ALL_FIGURES: ReadonlySet<keyof QuoteLine> = new Set(Object.values(FIGURES).flat())

/** Off the whole quote: a percentage or an amount, not both. */
export interface Discount {
  readonly percent?: DecimalText | null
  readonly minor?: Minor | null
}

/** The form of a line, field by field; `checkLines` also looks across fields. */
export const lineForm = record<QuoteLine>({
  id: uuid,
  position: whole(0, 100_000, 'position_out_of_range'),
  kind: oneOf(...LINE_KINDS),
  rank: oneOf(...RANKS),
  words: words(2000),
  included: omissible(text(2000)),
  found: omissible(text(MOST_FOUND)),
  work: optional(key),
  operation: optional(words(60)),
  hours: optional(decimal(0, 1000, 'hours_out_of_range')),
  rate_key: optional(key),
  member_id: optional(uuid),
  quantity: optional(decimal(0, 10_000, 'quantity_out_of_range')),
  unit_cost_minor: optional(price),
  unit_price_minor: optional(price),
  core_minor: optional(price),
  distance: optional(distance),
  zone_key: optional(key),
  fixed_minor: optional(price),
  discount_percent: optional(percent),
  discount_minor: optional(price),
  later_minor: optional(price),
  taxed: optional(yesOrNo),
})

export const discountForm = record<Discount>({ percent: optional(percent), minor: optional(price) })

/** The order that decides ties, whatever order the lines came in. */
export function inOrder<L extends QuoteLine>(lines: readonly L[]): L[] {
  return lines.toSorted((a, b) => a.position - b.position || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0))
}
