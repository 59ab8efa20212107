import type { OfferDocument } from '../../../domain/offer'
import type { Reckoning } from '../../../domain/reckoning'
import { ADDED } from '../../../domain/wording'
import { en } from '../../../domain/words'
import { Sums } from '../../components/Sums'
import { figures } from '../../shopFigures'

type Priced = Pick<
  OfferDocument['lines'][number],
  'quantity' | 'unit' | 'unit_minor' | 'discount_minor' | 'core_minor'
>

/** "1.5 h at $95.00 an hour", with its core charge and discount, as far as the line has them. */
export function priceWords({ quantity, unit, unit_minor, discount_minor, core_minor }: Priced): string {
  const read = figures.value
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

/** What a line comes to if it is done later, where it says so. */
export function laterWords({ later_minor }: { later_minor?: number }): string {
  return later_minor === undefined ? '' : en.quote.owner.later(figures.value.money(later_minor))
}

/** From the lines to what is to be paid. */
export function WhatItComesTo({ sums, inclusive }: { sums: Reckoning; inclusive: boolean }) {
  const read = figures.value
  const work = sums.subtotal_minor - sums.added.reduce((all, { amount_minor }) => all + amount_minor, 0)
  const tax = sums.tax.map(({ label, percent, tax_minor }) => ({
    name: inclusive
      ? en.quote.totals.taxIn(label, read.percent(percent))
      : en.quote.totals.tax(label, read.percent(percent)),
    amount: read.money(tax_minor),
  }))
  const grand = {
    name: sums.tax_minor ? en.quote.totals.totalWithTax : en.quote.totals.total,
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
      <Sums sums={inclusive ? before : [...before, ...tax]} grand={grand} />
      {inclusive && tax.map(({ name, amount }) => <p key={name}>{`${name}: ${amount}`}</p>)}
      {sums.deposit_minor > 0 && (
        <p class="lines">{en.quote.owner.deposit(read.money(sums.deposit_minor))}</p>
      )}
    </>
  )
}
