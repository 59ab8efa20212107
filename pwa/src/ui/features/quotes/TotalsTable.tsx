import type { QuoteTotals } from '../../../domain/contract'
import type { OfferDocument } from '../../../domain/quotes/offer'
import { Totals } from '../../components/Totals'
import { reader } from '../../reader'
import { format } from '../../shopFormat'

type Priced = Pick<
  OfferDocument['lines'][number],
  'quantity' | 'unit' | 'unit_minor' | 'discount_minor' | 'core_minor'
>

/** "1.5 h at $95.00 an hour", with core charge and discount if the line has them. */
export function linePriceText({ quantity, unit, unit_minor, discount_minor, core_minor }: Priced): string {
  const read = format.value
  const { counted, coreIn, offIn } = reader.value.line
  return [
    unit_minor !== null && quantity && counted[unit]?.(read.number(quantity), read.money(unit_minor)),
    core_minor > 0 && coreIn(read.money(core_minor)),
    discount_minor > 0 && offIn(read.money(discount_minor)),
  ]
    .filter(Boolean)
    .join(' · ')
}

/** A line of a question as "Labor, 1.5 h at $90.00 an hour: $135.00". */
export function partText(line: OfferDocument['lines'][number], title: string): string {
  const words = line.words === title ? reader.value.line.kinds[line.kind] : line.words
  return `${[words, linePriceText(line)].filter(Boolean).join(', ')}: ${format.value.money(line.amount_minor)}`
}

/** The price of a line if it is done later; empty where it has none. */
export function laterPriceText({ later_minor }: { later_minor?: number }): string {
  return later_minor === undefined ? '' : reader.value.quote.later(format.value.money(later_minor))
}

/** What the total of a quote is called, wherever it is shown. */
export const totalName = ({ tax_minor }: QuoteTotals) =>
  tax_minor ? reader.value.totals.totalWithTax : reader.value.totals.total

/** "Deposit due $105.00" for beside a total; empty where none is asked. */
export const depositText = ({ deposit_minor }: QuoteTotals): string =>
  deposit_minor ? `${reader.value.totals.deposit} ${format.value.money(deposit_minor)}` : ''

interface TotalsTableProps {
  sums: QuoteTotals
  inclusive: boolean
  /** The lines of the sums: what was agreed before is a row of its own. */
  lines?: readonly { readonly id: string; readonly agreed?: boolean | null }[]
}

/** Subtotals, tax, the amount to be paid and what of it is due first. */
export function TotalsTable({ sums, inclusive, lines = [] }: TotalsTableProps) {
  const read = format.value
  const t = reader.value.totals
  const agreedIds = new Set(lines.filter((line) => line.agreed).map(({ id }) => id))
  const agreed = sums.lines
    .filter(({ id, accepted }) => accepted && agreedIds.has(id))
    .reduce((all, { amount_minor }) => all + amount_minor, 0)
  const work =
    sums.subtotal_minor - agreed - sums.added.reduce((all, { amount_minor }) => all + amount_minor, 0)
  const tax = sums.tax.map(({ label, percent, tax_minor }) => ({
    name: inclusive ? t.taxIn(label, read.percent(percent)) : t.tax(label, read.percent(percent)),
    amount: read.money(tax_minor),
  }))
  const grand = {
    name: totalName(sums),
    amount: read.money(sums.total_minor),
  }
  const first = { name: t.work, amount: read.money(work) }
  const added = sums.added.map(({ key, amount_minor }) => ({
    name: reader.value.offer[`added_${key}`],
    amount: read.money(amount_minor),
  }))
  const deposit = sums.deposit_minor
    ? [
        { name: t.deposit, amount: read.money(sums.deposit_minor) },
        { name: t.balance, amount: read.money(sums.owed_after_deposit_minor) },
      ]
    : []
  const before = [
    ...(added.length || tax.length || agreed ? [first] : []),
    ...(agreed ? [{ name: t.agreed, amount: read.money(agreed) }] : []),
    ...added,
  ]
  return (
    <>
      <Totals lines={inclusive ? before : [...before, ...tax]} grandTotal={grand} after={deposit} />
      {inclusive && tax.map(({ name, amount }) => <p key={name}>{`${name}: ${amount}`}</p>)}
    </>
  )
}
