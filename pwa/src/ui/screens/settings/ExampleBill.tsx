import type { ShopPrices } from '../../../domain/quotes/book'
import { en } from '../../../domain/words'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { TotalsTable } from '../../features/quotes/TotalsTable'
import { format } from '../../shopFormat'
import { exampleBill } from './exampleBill'

const t = en.prices

interface Props {
  title: string
  prices: ShopPrices | null
  /** The place of the tax profile. */
  at: number
}

/** A bill on the prices as they are typed, with one tax profile; it waits while something typed is wrong. */
export function ExampleBill({ title, prices, at }: Props) {
  const read = format.value
  const rates = prices?.tax_profiles[at]?.rates.length
  const bill = prices && exampleBill(prices, at, read)
  return (
    <Section title={title} hint={bill ? t.billHint : t.billWaits}>
      {bill && (
        <>
          <List items={bill.lines} keyOf={({ name }) => name} empty="">
            {({ name, amount, taxed }) => (
              <ListItem
                title={name}
                value={read.money(amount)}
                details={rates ? (taxed ? t.taxed : t.untaxed) : undefined}
              />
            )}
          </List>
          <TotalsTable sums={bill.sums} inclusive={prices.tax_profiles[at]?.inclusive ?? false} />
        </>
      )}
    </Section>
  )
}
