import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { linePriceText } from '../../features/quotes/TotalsTable'
import { reader } from '../../reader'
import { format } from '../../shopFormat'
import type { CustomerQuote } from './quoteAnswers'

/** Costs that the customer is not asked about. */
export function AgreedCosts({ lines }: { lines: CustomerQuote['agreed'] }) {
  if (!lines.length) return null
  return (
    <Section title={reader.value.line.agreedBefore} hint={reader.value.quote.agreedHint}>
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
