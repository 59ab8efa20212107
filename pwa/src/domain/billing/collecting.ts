/** What is to be billed on a job. The rules are explained in the twin, `shopapi/billing/rules/collecting.py`. */
import type { BilledLine, BillingSettings, DiscountInput } from '../contract.ts'
import { compare, exact, over, plainDecimal, times } from '../numbers/decimal.ts'
import { type Minor, plainAmount, roundHalf, sum } from '../numbers/money.ts'
import type { AgreedQuote } from '../quotes/agreed.ts'
import type { ShopPrices } from '../quotes/book.ts'
import { inOrder, type WrittenLine } from '../quotes/lines.ts'
import { priceLine } from '../quotes/prices.ts'
import { computeTotals } from '../quotes/totals.ts'

/** A part that was fitted for no line of a quote; amounts for one. */
export interface FittedPart {
  readonly need_id: string
  readonly description: string
  readonly number: string
  readonly quantity: string
  readonly price_minor: Minor | null
  readonly cost_minor: Minor | null
  readonly core_minor: Minor
}

/** A pickup or return that was done. `distance`, `zone_key`: as last billed for the place; null: not known. */
export interface DrivenTrip {
  readonly stop_id: string
  readonly words: string
  readonly distance: string | null
  readonly zone_key: string | null
}

/** What storage comes to, and its evidence as the customer reads it. */
export interface StoredDays {
  readonly words: string
  readonly amount_minor: Minor
}

/** What was done on a job. `seconds`: clocked by accepted line. `billed`: lines, parts and trips that were billed. */
export interface JobWork {
  readonly quotes: readonly AgreedQuote[]
  readonly seconds: ReadonlyMap<string, number>
  readonly parts: readonly FittedPart[]
  readonly billed: ReadonlySet<string>
  readonly trips: readonly DrivenTrip[]
  readonly storage: StoredDays | null
}

type Settings = Pick<BillingSettings, 'labor' | 'warranty_days' | 'warranty_hours'>

/** The lines of an invoice for a job, and its discount. `mint` gives each line its id. */
export function collect(
  basis: ShopPrices,
  work: JobWork,
  settings: Settings,
  mint: () => string,
): { lines: BilledLine[]; discount: DiscountInput } {
  const alone = work.quotes.length === 1
  const lines: BilledLine[] = []
  const off: Minor[] = []
  for (const quote of work.quotes) {
    const { book, accepted, discount, exempt } = quote
    const totals = computeTotals(book, quote.lines, { accepted, discount, exempt })
    const amounts = new Map(totals.lines.map(({ id, amount_minor }) => [id, amount_minor]))
    for (const line of inOrder(quote.lines)) {
      const stays = alone && line.kind === 'discount' && line.discount_percent != null
      if (!accepted.has(line.id) || (work.billed.has(line.id) && !stays)) continue
      const agreed = { ...figuresOf(line), ...asAgreed(basis, book, line, amounts.get(line.id) ?? 0, alone) }
      const timed = byTime(agreed, settings, work.seconds.get(line.id) ?? 0)
      const source = timed ? 'clock' : line.kind === 'travel' ? 'travel' : 'quote'
      const more = { id: mint(), position: lines.length, source, quote_line_id: line.id } as const
      lines.push({ ...agreed, ...timed, ...more, ...stated(line.kind, settings) })
    }
    off.push(...totals.added.flatMap(({ key, amount_minor }) => (key === 'discount' ? -amount_minor : [])))
  }
  for (const part of work.parts)
    if (!work.billed.has(part.need_id)) lines.push(fitted(part, lines.length, settings, mint()))
  for (const trip of isTravelAgreed(work.quotes) ? [] : work.trips) {
    const line = work.billed.has(trip.stop_id) ? null : drivenLine(basis, trip)
    if (line) lines.push({ ...line, id: mint(), position: lines.length })
  }
  if (work.storage && work.storage.amount_minor > 0)
    lines.push({ ...storedLine(work.storage), id: mint(), position: lines.length })
  return { lines, discount: discountOf(work, sum(off)) }
}

/** The figures of a line without what the row of a quote has besides. */
function figuresOf(row: WrittenLine & { created_at?: unknown; changed_at?: unknown }): WrittenLine {
  const { quote_id, finding_id, decided, created_at, changed_at, ...line } = row as WrittenLine &
    Record<'quote_id' | 'finding_id' | 'decided' | 'created_at' | 'changed_at', unknown>
  return line
}

const FIGURES = ['unit', 'gross', 'discount', 'core'] as const

/** The figures that keep a line's agreed price on the basis of the invoice. */
function asAgreed(
  basis: ShopPrices,
  own: ShopPrices,
  line: WrittenLine,
  amount: Minor,
  alone: boolean,
): Partial<WrittenLine> {
  const asked = { belongs_to_id: null, apart: null, agreed: null, later_minor: null }
  if (line.kind === 'discount')
    return alone && line.discount_percent != null
      ? asked
      : { ...asked, discount_percent: null, discount_minor: -amount }
  const agreed = priceLine(own, line)
  const here = priceLine(basis, line)
  // Unit, gross, discount and core charge: two prices may differ in these and come to one amount.
  if (!agreed || (here && FIGURES.every((figure) => agreed[figure] === here[figure]))) return asked
  if (line.kind === 'part') return { ...asked, unit_price_minor: agreed.unit }
  const set = { ...asked, fixed_minor: agreed.gross, unit_price_minor: null }
  return line.kind === 'labor' ? { ...set, rate_key: null } : set
}

/** The clocked hours to the hundredth, at most those agreed; null where the line is billed as it was agreed. */
function byTime(line: WrittenLine, { labor }: Settings, seconds: number): { hours: string } | null {
  if (labor !== 'by_time' || !seconds || line.hours == null || line.fixed_minor != null) return null
  const hundredths = roundHalf(over(times(exact(seconds), exact(100)), exact(3600)), 'half_up')
  const clocked = plainDecimal(plainAmount(hundredths, 2))
  return { hours: compare(exact(line.hours), exact(clocked)) < 0 ? line.hours : clocked }
}

function stated(kind: WrittenLine['kind'], { warranty_days, warranty_hours }: Settings) {
  return kind === 'labor' || kind === 'part' ? { warranty_days, warranty_hours } : {}
}

function fitted(part: FittedPart, position: number, settings: Settings, id: string): BilledLine {
  return {
    id,
    position,
    kind: 'part',
    rank: 'needed',
    words: part.description,
    part_number: part.number || null,
    quantity: part.quantity,
    unit_cost_minor: part.cost_minor,
    unit_price_minor: part.price_minor,
    core_minor: part.core_minor || null,
    source: 'part',
    need_id: part.need_id,
    ...stated('part', settings),
  }
}

/** Whether travel was agreed on a job: then it covers every trip. */
export const isTravelAgreed = (quotes: readonly AgreedQuote[]): boolean =>
  quotes.some(({ lines, accepted }) => lines.some(({ id, kind }) => kind === 'travel' && accepted.has(id)))

/** The line of a trip; null where the price book has no price for it, or it costs nothing. */
function drivenLine(
  basis: ShopPrices,
  { stop_id, words, distance, zone_key }: DrivenTrip,
): BilledLine | null {
  const { mode, zones } = basis.travel
  const only = zones.length === 1 ? (zones[0]?.key ?? null) : null
  const where = mode === 'zone' ? { zone_key: zone_key ?? only } : { distance }
  const line = { id: stop_id, position: 0, kind: 'travel', rank: 'needed', words, ...where } as const
  const price = priceLine(basis, line)
  return price && price.gross > 0 ? { ...line, source: 'travel', stop_id } : null
}

/** The line of storage. */
export const storedLine = ({ words, amount_minor }: StoredDays) =>
  ({ kind: 'fee', rank: 'needed', words, fixed_minor: amount_minor, source: 'storage' }) as const

/** A percentage of the only quote, else what came off, unless lines were billed before. */
function discountOf({ quotes, billed }: JobWork, off: Minor): DiscountInput {
  const percent = quotes.length === 1 ? quotes[0]?.discount?.percent : null
  if (percent != null) return { percent, minor: null }
  const before = quotes.some(({ lines }) => lines.some(({ id }) => billed.has(id)))
  return { percent: null, minor: off && !before ? off : null }
}
