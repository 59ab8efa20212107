/**
 * What a credit note takes over from its invoice. Twin: `shopapi/billing/rules/credit_notes.py`, which says what stays
 * with the invoice where only some of its lines are credited, and how a part of a line is.
 */
import type { DiscountInput, Invoice, ShopPricesInput } from '../contract.ts'
import { compare, type Exact, exact, over, times } from '../numbers/decimal.ts'
import { roundHalf } from '../numbers/money.ts'
import { inOrder, type WrittenLine } from '../quotes/lines.ts'
import { addUp, wantDiscounts } from '../quotes/totals.ts'

export interface Mirror<L> {
  readonly basis: ShopPricesInput
  readonly lines: readonly L[]
  readonly discount: DiscountInput
}

/** How much of each line is credited, by its id; null: all of it. */
export type Taken = ReadonlyMap<string, string | null>

const COUNTED: ReadonlySet<string> = new Set(['labor', 'part', 'fee', 'supplies'])

/** The hours or pieces of a line of which some may be credited; null where its price is one for all of it. */
export function wholeOf({ kind, hours, quantity, fixed_minor }: WrittenLine): string | null {
  if (fixed_minor != null || !COUNTED.has(kind)) return null
  const whole = kind === 'labor' ? (hours ?? null) : (quantity ?? '1')
  return whole !== null && exact(whole).n !== 0n ? whole : null
}

/** What part of the whole a count is; both are below zero where something was taken back. */
function shareOf(count: string, whole: string): Exact {
  const sign = exact(exact(whole).n < 0n ? -1 : 1)
  return over(times(exact(count), sign), times(exact(whole), sign))
}

/** What is wrong with how much of each line is credited, by the index of the line in `taken`. */
export function creditFaults(lines: readonly WrittenLine[], taken: Taken) {
  const byId = new Map(lines.map((line) => [line.id, line]))
  return [...taken].flatMap(([id, count], at) => {
    const line = byId.get(id)
    if (!line) return [{ id, field: `lines.${at}.line_id`, code: 'line_of_another_invoice' }]
    if (count === null) return []
    const whole = wholeOf(line)
    if (whole === null) return [{ id, field: `lines.${at}.quantity`, code: 'credited_only_whole' }]
    const share = shareOf(count, whole)
    const fits = compare(share, exact(0)) > 0 && compare(share, exact(1)) <= 0
    return fits ? [] : [{ id, field: `lines.${at}.quantity`, code: 'credited_too_many' }]
  })
}

/** Basis, lines and discount of a credit note for these lines of an invoice. Call `creditFaults` first. */
export function mirrored<L extends WrittenLine>(
  { basis, discount }: Pick<Invoice, 'basis' | 'discount'>,
  lines: readonly L[],
  taken: Taken,
): Mirror<L> {
  const kept = lines
    .filter(({ id }) => taken.has(id))
    .map((line) => partOf(basis, line, taken.get(line.id) ?? null))
  if (kept.length === lines.length && kept.every((line, at) => line === lines[at]))
    return { basis, lines, discount }
  const plain = {
    ...basis,
    labor_minimum_minor: 0,
    supplies: { ...basis.supplies, percent: '0', floor_minor: 0 },
    credit_diagnosis: false,
  }
  // A part that is credited takes back its share of the discount, whatever a part that is accepted is granted.
  const shared = { ...plain, fixed_discount: 'shared' as const }
  if (discount.minor === null) return { basis: shared, lines: kept, discount }
  const counts = () => true
  const [whole, offered] = [kept, lines].map((some) => addUp(shared, inOrder(some), counts).whole)
  const { offQuote } = wantDiscounts(shared, [], discount, whole ?? 0, offered ?? 0)
  return { basis: shared, lines: kept, discount: { percent: null, minor: offQuote } }
}

/** Whether a credit note takes back what was added for the whole invoice, so that no line may leave it by itself. */
export const creditsWhole = ({ kind, basis }: Pick<Invoice, 'kind' | 'basis'>): boolean =>
  kind === 'credit_note' &&
  (basis.labor_minimum_minor > 0 ||
    Number(basis.supplies.percent) > 0 ||
    basis.supplies.floor_minor > 0 ||
    basis.credit_diagnosis)

/** So many of a line; null: all of it. */
function partOf<L extends WrittenLine>(basis: ShopPricesInput, line: L, count: string | null): L {
  const whole = wholeOf(line)
  if (count === null || whole === null || compare(exact(count), exact(whole)) === 0) return line
  const share = shareOf(count, whole)
  const off = line.discount_minor
  return {
    ...line,
    [line.kind === 'labor' ? 'hours' : 'quantity']: count,
    discount_minor: off == null ? null : roundHalf(times(exact(off), share), basis.rounding),
    later_minor: null,
  }
}
