import type { Quote } from '../../../domain/contract'
import { ranksWith } from '../../../domain/quotes/lines'
import type { OfferDocument } from '../../../domain/quotes/offer'
import { aloneOf, type Question, questionsOf } from '../../../domain/quotes/questions'
import { en } from '../../../domain/words'
import { jsonDigest } from '../../../store/browser/sha256'
import { unconfirmedPrices } from '../../../store/priceBook'
import { offerQuote, quote } from '../../../store/quotes'
import { PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { RunningTotal } from '../../components/Totals'
import { enterCustomerMode } from '../../customerMode'
import { PricesFirst } from '../../features/quotes/PricesFirst'
import { QuotePage } from '../../features/quotes/QuotePage'
import {
  calculateQuote,
  defaultValidUntil,
  documentOf,
  newTaxProfile,
  shownNames,
} from '../../features/quotes/quoteCalculation'
import { RevisionSection } from '../../features/quotes/RevisionChanges'
import {
  laterPriceText,
  linePriceText,
  partText,
  TotalsTable,
  totalName,
} from '../../features/quotes/TotalsTable'
import { NotFound } from '../../NotFound'
import { format, today } from '../../shopFormat'
import { useSaveOnce } from '../../useSaveOnce'

const t = en.quote.offer

export function Offer({ id }: { id: string }) {
  const row = quote(id)
  return row?.state === 'draft' ? (
    <OfferForm row={row} />
  ) : (
    <NotFound {...(row && { back: { at: 'quote', id } })} />
  )
}

/** The review before the phone is handed to the customer; offering fixes the quote. */
function OfferForm({ row }: { row: Quote }) {
  const { busy, save } = useSaveOnce()
  const { sums, lines } = calculateQuote(row)
  const until = defaultValidUntil(row)
  if (!sums || !lines.length || newTaxProfile(row) !== undefined)
    return <NotFound back={{ at: 'quote', id: row.id }} />
  if (unconfirmedPrices.value.length) return <PricesFirst back={{ at: 'quote', id: row.id }} />
  const shown = shownNames(row)
  const document = documentOf(row, until)
  const questions = questionsOf(document.lines)

  function hand() {
    void save(
      async () => {
        const digest = await jsonDigest(document)
        const { total_minor } = document
        await offerQuote({ id: row.id, valid_until: until, digest, total_minor, shown, offered_on: today() })
      },
      () => enterCustomerMode('quote', row.id),
    )
  }
  return (
    <QuotePage
      row={row}
      title={t.title}
      dock={
        <>
          <RunningTotal name={totalName(sums)} amount={format.value.money(document.total_minor)} />
          <PrimaryButton label={t.handTo} hint={t.handToHint(shown.customer)} busy={busy} onPress={hand} />
        </>
      }
    >
      <p>{t.explain}</p>
      <p class="multiline">{t.hides}</p>
      <RevisionSection row={row} />
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
      <Section title={en.quote.builder.comesTo}>
        <TotalsTable sums={sums} inclusive={document.prices_hold_tax} lines={document.lines} />
        {document.later_total_minor !== undefined && (
          <p class="multiline">
            {en.quote.customer.laterTotal(format.value.money(document.later_total_minor))}
          </p>
        )}
        {document.in_part && <p class="multiline">{document.in_part}</p>}
        <p class="multiline">{t.holdsUntil(format.value.day(until))}</p>
      </Section>
    </QuotePage>
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
