import type { Quote } from '../../../domain/contract'
import { ranksWith } from '../../../domain/quotes/lines'
import type { OfferDocument } from '../../../domain/quotes/offer'
import { aloneOf, type Question, questionsOf } from '../../../domain/quotes/questions'
import type { Day } from '../../../domain/time'
import { en } from '../../../domain/words'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { calculateQuote } from '../../features/quotes/quoteCalculation'
import { laterPriceText, linePriceText, partText, TotalsTable } from '../../features/quotes/TotalsTable'
import { format } from '../../shopFormat'

const t = en.quote.offer

interface SumsProps {
  row: Quote
  document: OfferDocument
  until: Day
}

/** What the offered lines come to, and until when. */
export function OfferedSums({ row, document, until }: SumsProps) {
  const { sums } = calculateQuote(row)
  return (
    <Section title={en.quote.builder.comesTo}>
      {sums && <TotalsTable sums={sums} inclusive={document.prices_hold_tax} lines={document.lines} />}
      {document.later_total_minor !== undefined && (
        <p class="multiline">
          {en.quote.customer.laterTotal(format.value.money(document.later_total_minor))}
        </p>
      )}
      {document.in_part && <p class="multiline">{document.in_part}</p>}
      <p class="multiline">{t.holdsUntil(format.value.day(until))}</p>
    </Section>
  )
}

/** What the customer is asked, by rank, and then what was agreed before. */
export function OfferedQuestions({ document }: { document: OfferDocument }) {
  const questions = questionsOf(document.lines)
  return (
    <>
      {ranksWith(questions).map((rank) => (
        <OfferedPart
          key={rank}
          title={en.ranks[rank]}
          questions={questions.filter((question) => question.rank === rank)}
        />
      ))}
      <OfferedPart
        title={en.quote.agreedBefore}
        questions={document.lines.filter(({ agreed }) => agreed).map(aloneOf)}
      />
    </>
  )
}

type OfferedQuestion = Question<OfferDocument['lines'][number]>

function OfferedPart({ title, questions }: { title: string; questions: readonly OfferedQuestion[] }) {
  if (!questions.length) return null
  return (
    <Section title={title}>
      <List items={questions} keyOf={({ key }) => key} empty="">
        {({ title, amount, later, lines, apartFrom }) => (
          <ListItem
            title={title}
            value={format.value.money(amount)}
            details={[
              ...lines.map((line) => (lines.length > 1 ? partText(line, title) : linePriceText(line))),
              later !== null && laterPriceText({ later_minor: later }),
              ...lines.map(({ included }) => included),
              apartFrom.length > 0 && en.quote.customer.apart(apartFrom),
            ]
              .filter(Boolean)
              .join(' · ')}
          />
        )}
      </List>
    </Section>
  )
}
