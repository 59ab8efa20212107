import type { Quote, QuoteLine, QuoteTotals, Shown, TaxProfileInput } from '../../../domain/contract'
import { machineText } from '../../../domain/machines/machineText'
import { basisOn, profileOn, type ShopPrices } from '../../../domain/quotes/book'
import { checkLines } from '../../../domain/quotes/checks'
import { laterTotal } from '../../../domain/quotes/later'
import { inOrder, isAsked } from '../../../domain/quotes/lines'
import { type OfferDocument, offerDocument } from '../../../domain/quotes/offer'
import { computeTotals, type Terms } from '../../../domain/quotes/totals'
import type { FieldError } from '../../../domain/quotes/wording'
import { type Day, daysAfter } from '../../../domain/time'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { priceBook } from '../../../store/priceBook'
import { linesOf } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { today } from '../../shopFormat'

/**
 * The current state of a quote: its lines in order, and their totals or what is wrong with them. Once decided, the
 * totals are those of the accepted lines.
 */
export interface QuoteCalculation {
  lines: readonly QuoteLine[]
  faults: readonly FieldError[]
  sums: QuoteTotals | null
}

export function calculateQuote(quote: Quote): QuoteCalculation {
  const lines = inOrder(linesOf(quote.id))
  const { basis, discount } = quote
  const faults = checkLines(basis, lines, { discount })
  const answered = lines.some(({ decided }) => decided !== 'open')
  const yes = answered ? lines.filter(({ decided }) => decided === 'accepted') : lines
  const sums = faults.length ? null : calculateAccepted(quote, lines, new Set(yes.map(({ id }) => id)))
  return { lines, faults, sums }
}

/** The totals when only these lines are accepted. What is not asked always counts. */
export function calculateAccepted(
  quote: Quote,
  lines: readonly QuoteLine[],
  wanted: ReadonlySet<string>,
): QuoteTotals {
  return computeTotals(quote.basis, lines, termsOf(quote, lines, wanted))
}

/** The price of the same lines if done later; null where none has one. */
export function laterPriceOfAccepted(
  quote: Quote,
  lines: readonly QuoteLine[],
  wanted: ReadonlySet<string>,
): number | null {
  return laterTotal(quote.basis, lines, termsOf(quote, lines, wanted))
}

function termsOf(quote: Quote, lines: readonly QuoteLine[], wanted: ReadonlySet<string>): Terms {
  const counted = lines.filter((line) => !isAsked(line)).map(({ id }) => id)
  const accepted = new Set([...wanted, ...counted])
  return { accepted, discount: quote.discount, exempt: shownNames(quote).exempt }
}

/** The names on the offer as it was shown, or as an offer made now would show them. */
export function shownNames(quote: Quote): Shown {
  return quote.shown ?? namesOf(quote.job_id)
}

/** The names that an offer made now on this job would show. */
export function namesOf(job_id: string): Shown {
  const row = job(job_id)
  const customerRow = row && customer(row.customer_id)
  const what = row && machine(row.machine_id)
  const language = customerRow?.language ?? 'en'
  return {
    shop: shop.value?.name ?? '',
    customer: customerRow?.name ?? '',
    machine: what ? machineText(what, language) : '',
    exempt: customerRow?.tax_exempt ?? false,
    language,
  }
}

/** The default last day of validity of a quote written today. */
export function defaultValidUntil(quote: Quote): Day {
  return quote.valid_until ?? daysAfter(today(), quote.basis.valid_days)
}

/** The offer document: everything the customer is shown, and nothing else. */
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
    language: shown.language,
  })
}

/** The tax profile in force today where it differs from the quote's (null: there is none); undefined: the same. */
export function newTaxProfile(quote: Quote): TaxProfileInput | null | undefined {
  if (!priceBook.value) return undefined
  const current = profileOn(priceBook.value.prices.tax_profiles, today())
  return current?.key === quote.basis.tax_profiles[0]?.key ? undefined : current
}

/**
 * The basis of a quote started today: the shop's prices, or those of an earlier quote, with today's tax profile of the
 * shop; null where the price book has no tax profile for today.
 */
export function currentBasis(prices?: ShopPrices): ShopPrices | null {
  const own = priceBook.value?.prices
  return own ? basisOn({ ...(prices ?? own), tax_profiles: own.tax_profiles }, today()) : null
}
