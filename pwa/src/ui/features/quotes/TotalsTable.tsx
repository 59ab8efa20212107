import type { QuoteTotals } from '../../../domain/contract'
import { ADDED } from '../../../domain/messages/quotes'
import type { OfferDocument } from '../../../domain/quotes/offer'
import { en } from '../../../domain/words/index'
import { Totals } from '../../components/Totals'
import { format } from '../../shopFormat'

type Priced = Pick<
  OfferDocument['lines'][number],
  'quantity' | 'unit' | 'unit_minor' | 'discount_minor' | 'core_minor'
>

/** "1.5 h at $95.00 an hour", with core charge and discount if the line has them. */
export function linePriceText({ quantity, unit, unit_minor, discount_minor, core_minor }: Priced): string {
  const read = format.value
  return [
    unit_minor !== null &&
      quantity &&
      en.quote.counted[unit]?.(read.number(quantity), read.money(unit_minor)),
    core_minor > 0 && en.quote.coreIn(read.money(core_minor)),
    discount_minor > 0 && en.quote.offIn(read.money(discount_minor)),
  ]
    .filter(Boolean)
    .join(' · ')
}

/** The price of a line if it is done later; empty where it has none. */
export function laterPriceText({ later_minor }: { later_minor?: number }): string {
  return later_minor === undefined ? '' : en.quote.customer.later(format.value.money(later_minor))
}

/** What the total of a quote is called, wherever it is shown. */
export const totalName = ({ tax_minor }: QuoteTotals) =>
  tax_minor ? en.quote.totals.totalWithTax : en.quote.totals.total

/** Subtotals, tax and the amount to be paid. */
export function TotalsTable({ sums, inclusive }: { sums: QuoteTotals; inclusive: boolean }) {
  const read = format.value
  const work = sums.subtotal_minor - sums.added.reduce((all, { amount_minor }) => all + amount_minor, 0)
  const tax = sums.tax.map(({ label, percent, tax_minor }) => ({
    name: inclusive
      ? en.quote.totals.taxIn(label, read.percent(percent))
      : en.quote.totals.tax(label, read.percent(percent)),
    amount: read.money(tax_minor),
  }))
  const grand = {
    name: totalName(sums),
    amount: read.money(sums.total_minor),
  }
  const first = { name: en.quote.totals.work, amount: read.money(work) }
  const added = sums.added.map(({ key, amount_minor }) => ({
    name: ADDED[key],
    amount: read.money(amount_minor),
  }))
  const before = [...(added.length || tax.length ? [first] : []), ...added]
  return (
    <>
      <Totals lines={inclusive ? before : [...before, ...tax]} grandTotal={grand} />
      {inclusive && tax.map(({ name, amount }) => <p key={name}>{`${name}: ${amount}`}</p>)}
      {sums.deposit_minor > 0 && (
        <p class="multiline">{en.quote.customer.deposit(read.money(sums.deposit_minor))}</p>
      )}
    </>
  )
}
