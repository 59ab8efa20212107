import { en } from '../../../domain/words/index'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { linePriceText } from '../../features/quotes/TotalsTable'
import { format } from '../../shopFormat'
import type { CustomerQuote } from './quoteAnswers'

const t = en.quote.customer

/** Costs that the customer is not asked about. */
export function AgreedCosts({ lines }: { lines: CustomerQuote['agreed'] }) {
  if (!lines.length) return null
  return (
    <Section title={en.quote.agreedBefore} hint={t.agreedHint}>
      <List items={lines} keyOf={({ id }) => id} empty="">
        {(line) => (
          <ListItem
            title={line.words}
            value={format.value.money(line.amount_minor)}
            details={linePriceText(line)}
          />
        )}
      </List>
    </Section>
  )
}
