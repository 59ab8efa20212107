import { basisOn, type PriceBook } from '../../../domain/book'
import { checkLines } from '../../../domain/checks'
import { laterTotal } from '../../../domain/later'
import { inOrder } from '../../../domain/lines'
import { machineText } from '../../../domain/machine'
import { canonical, type OfferDocument, offerDocument } from '../../../domain/offer'
import { type Reckoning, reckon, type Terms } from '../../../domain/reckoning'
import type { Quote, QuoteLine, Shown } from '../../../domain/rows'
import { type Day, daysAfter } from '../../../domain/time'
import type { FieldError } from '../../../domain/wording'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { linesOf } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { today } from '../../shopFigures'

/** A quote as it stands now: its lines in order, what is wrong with them, else what they come to. */
export interface Standing {
  lines: readonly QuoteLine[]
  faults: readonly FieldError[]
  sums: Reckoning | null
}

export function standing(quote: Quote): Standing {
  const lines = inOrder(linesOf(quote.id))
  const { basis, discount } = quote
  const faults = checkLines(basis, lines, { discount })
  const sums = faults.length ? null : reckon(basis, lines, { discount, exempt: shownNames(quote).exempt })
  return { lines, faults, sums }
}

/** What is owed when only these lines are wanted. Discount lines are not decided one by one; they count. */
export function reckonWanted(
  quote: Quote,
  lines: readonly QuoteLine[],
  wanted: ReadonlySet<string>,
): Reckoning {
  return reckon(quote.basis, lines, termsOf(quote, lines, wanted))
}

/** What the same lines come to if they are done later; null where none of them says so. */
export function laterWanted(
  quote: Quote,
  lines: readonly QuoteLine[],
  wanted: ReadonlySet<string>,
): number | null {
  return laterTotal(quote.basis, lines, termsOf(quote, lines, wanted))
}

function termsOf(quote: Quote, lines: readonly QuoteLine[], wanted: ReadonlySet<string>): Terms {
  const discounts = lines.filter(({ kind }) => kind === 'discount').map(({ id }) => id)
  const accepted = new Set([...wanted, ...discounts])
  return { accepted, discount: quote.discount, exempt: shownNames(quote).exempt }
}

/** The names as they were shown, or as an offer made now would show them. */
export function shownNames(quote: Quote): Shown {
  return quote.shown ?? namesOf(quote.job_id)
}

/** The names as an offer on a job made now would show them. */
export function namesOf(job_id: string): Shown {
  const its = job(job_id)
  const owner = its && customer(its.customer_id)
  const what = its && machine(its.machine_id)
  return {
    shop: shop.value?.name ?? '',
    customer: owner?.name ?? '',
    machine: what ? machineText(what) : '',
    exempt: owner?.tax_exempt ?? false,
  }
}

/** Until when a quote written today holds, unless said otherwise. */
export function usualEnd(quote: Quote): Day {
  return quote.valid_until ?? daysAfter(today(), quote.basis.valid_days)
}

/** Everything the owner is shown, and nothing else. */
export function documentOf(quote: Quote, valid_until: Day): OfferDocument {
  const shown = shownNames(quote)
  return offerDocument({
    quote_id: quote.id,
    revision: quote.revision,
    kind: quote.kind,
    shop_name: shown.shop,
    customer_name: shown.customer,
    machine: shown.machine,
    book: quote.basis,
    lines: linesOf(quote.id),
    discount: quote.discount,
    exempt: shown.exempt,
    valid_until,
  })
}

/** SHA-256 of exactly that, as 64 small hexadecimal digits. */
export async function digestOf(document: OfferDocument): Promise<string> {
  const bytes = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(canonical(document)))
  return Array.from(new Uint8Array(bytes), (byte) => byte.toString(16).padStart(2, '0')).join('')
}

/** The prices a quote started today is reckoned by; null where the shop's book says no tax for today. */
export function basisToday(): PriceBook | null {
  return shop.value ? basisOn(shop.value.book, today()) : null
}
