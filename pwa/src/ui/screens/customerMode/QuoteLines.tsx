import { useEffect, useState } from 'preact/hooks'
import { ranksWith } from '../../../domain/quotes/lines'
import { onTop } from '../../../domain/quotes/wording'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import type { Answer } from '../../components/LineDecision'
import { Page } from '../../components/Page'
import { Section } from '../../components/Section'
import { RunningTotal } from '../../components/Totals'
import { RevisionSummary } from '../../features/quotes/RevisionChanges'
import { depositText, TotalsTable } from '../../features/quotes/TotalsTable'
import { reader } from '../../reader'
import { readerLanguage } from '../../readerLanguage'
import { format } from '../../shopFormat'
import { currentToast } from '../../toast'
import type { Draft } from '../../useDraft'
import { AgreedCosts } from './AgreedCosts'
import type { CustomerQuote, QuoteAnswers, QuoteQuestion } from './quoteAnswers'
import { RankSection } from './RankSection'

/** Yes or no to each line, with the total of the yeses always visible. */
export function QuoteLines({ offer, draft }: { offer: CustomerQuote; draft: Draft<QuoteAnswers> }) {
  const t = reader.value.quote
  const { fields, update } = draft
  const [asked, setAsked] = useState(0)
  const { document, questions, yes, no } = offer
  const left = questions.length - yes.length - no.length
  const answerAll = (answer: Answer) =>
    update({ answers: Object.fromEntries(questions.map(({ key }) => [key, answer])) })

  function next() {
    setAsked(asked + 1)
    if (!left) {
      update({ step: 'sign' })
      scrollTo(0, 0)
    }
  }
  useFocusOnOpen(asked, questions, fields.answers)
  return (
    <Page
      variant="customer-mode"
      title={t.title(document.shop)}
      subtitle={<Intro machine={document.machine} />}
      toast={currentToast.value}
      dock={
        <>
          <YesTotal offer={offer} />
          <PrimaryButton
            label={left || yes.length ? t.next : t.nextNothing}
            {...(asked > 0 && left > 0 && { hint: t.decideFirst })}
            onPress={next}
          />
        </>
      }
    >
      {questions.length > 1 && (
        <ButtonRow>
          <Button label={t.allYes} onPress={() => answerAll('yes')} />
          <Button label={t.allNo} onPress={() => answerAll('no')} />
        </ButtonRow>
      )}
      {offer.changes && <RevisionSummary changes={offer.changes} />}
      {ranksWith(questions).map((rank) => (
        <RankSection
          key={rank}
          rank={rank}
          questions={questions.filter((question) => question.rank === rank)}
          changes={offer.changes}
          draft={draft}
          error={asked > 0 ? t.decideThis : undefined}
        />
      ))}
      <AgreedCosts lines={offer.agreed} />
      <TotalsAndTerms offer={offer} />
      <ButtonRow stacked>
        <Button wide label={t.leave} onPress={() => update({ step: 'undecided' })} />
      </ButtonRow>
    </Page>
  )
}

/** Each time it is asked, the first question without an answer has the focus; after its error is there, to be read with it. */
function useFocusOnOpen(
  asked: number,
  questions: readonly QuoteQuestion[],
  answers: QuoteAnswers['answers'],
): void {
  useEffect(() => {
    const open = asked ? questions.find(({ key }) => !answers[key]) : undefined
    if (open) document.getElementById(`line-${open.key}`)?.querySelector<HTMLElement>('button')?.focus()
  }, [asked])
}

function Intro({ machine }: { machine: string }) {
  const t = reader.value.quote
  return (
    <>
      <p>{t.machine(machine)}</p>
      <p class="multiline">{t.intro}</p>
    </>
  )
}

interface OfferProps {
  offer: CustomerQuote
}

/** The total of the yeses, and how many lines have no answer yet. */
function YesTotal({ offer: { document, questions, sums, yes, no } }: OfferProps) {
  const t = reader.value.quote
  const left = questions.length - yes.length - no.length
  return (
    <RunningTotal
      name={t.youPay}
      amount={format.value.money(sums.total_minor)}
      breakdown={[
        ...(sums.tax_minor ? [document.prices_hold_tax ? t.taxInside : t.withTax] : []),
        left ? t.undecided(left) : t.recap(yes.length, no.length),
        ...(sums.deposit_minor ? [depositText(sums)] : []),
      ]}
    />
  )
}

/** Supplies and tax, the totals in full, and the terms. */
function TotalsAndTerms({ offer: { document, sums, later, yes, agreed } }: OfferProps) {
  const t = reader.value.quote
  const read = format.value
  const said = onTop(readerLanguage.value, {
    supplies: document.added.some(({ key }) => key === 'supplies'),
    tax: document.tax.length > 0,
    taxInside: document.prices_hold_tax,
  })
  return (
    <>
      {said && <p class="multiline">{said}</p>}
      {document.credited && <p class="multiline">{document.credited}</p>}
      {document.in_part && <p class="multiline">{document.in_part}</p>}
      {yes.length + agreed.length > 0 && (
        <Section title={t.youPay}>
          <TotalsTable sums={sums} inclusive={document.prices_hold_tax} lines={document.lines} />
          {later !== null && <p class="multiline">{t.laterTotal(read.money(later))}</p>}
        </Section>
      )}
      <Section title={t.terms}>
        <p class="multiline">{document.terms}</p>
        <p class="multiline">{t.validUntil(read.day(document.valid_until))}</p>
      </Section>
    </>
  )
}
