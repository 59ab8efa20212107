/** How far a job may be billed. What counts is explained in the twin, `shopapi/billing/rules/authorized.py`. */
import type { QuoteTotals } from '../contract.ts'
import { type Minor, percentOf, roundHalf, sum } from '../numbers/money.ts'
import type { AgreedQuote } from '../quotes/agreed.ts'
import { computeTotals } from '../quotes/totals.ts'

/** In minor units, before tax. */
export interface Authorized {
  readonly agreed: Minor
  readonly allowed: Minor
}

/** What was agreed on a job by its decided quotes, or told at intake where there are none. */
export function authorizedBy(quotes: readonly AgreedQuote[], told: Minor, tolerance: Minor): Authorized {
  let agreed = quotes.length ? 0 : told
  let allowed = 0
  for (const { book, lines, ...terms } of quotes) {
    const { subtotal_minor } = computeTotals(book, lines, terms)
    agreed += subtotal_minor
    allowed += Math.max(0, roundHalf(percentOf(subtotal_minor, book.tolerance_percent), book.rounding))
  }
  return { agreed, allowed: Math.max(allowed, tolerance) }
}

/** How far a new document goes beyond what was agreed and allowed; `billed`: what was billed, credits negative. */
export const beyondAgreed = (
  { agreed, allowed }: Authorized,
  billed: readonly Minor[],
  wanted: Minor,
): Minor => Math.max(0, sum(billed) + wanted - agreed - allowed)

/** What of a document counts against the authorized amount: its subtotal without storage. */
export function counted(
  totals: QuoteTotals,
  lines: readonly { readonly id: string; readonly source?: string }[],
): Minor {
  const storage = new Set(lines.filter(({ source }) => source === 'storage').map(({ id }) => id))
  const stored = totals.lines.filter(({ id }) => storage.has(id)).map(({ amount_minor }) => amount_minor)
  return totals.subtotal_minor - sum(stored)
}
