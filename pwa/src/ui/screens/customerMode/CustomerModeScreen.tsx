import { useLayoutEffect, useState } from 'preact/hooks'
import type { Quote } from '../../../domain/contract'
import { inOrder } from '../../../domain/quotes/lines'
import { type Question, questionsOf } from '../../../domain/quotes/questions'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { decideQuote, linesOf, quote } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { customerMode, leaveCustomerMode } from '../../customerMode'
import {
  calculateAccepted,
  defaultValidUntil,
  documentOf,
  laterPriceOfAccepted,
} from '../../features/quotes/quoteCalculation'
import { changesOf, type RevisionChanges } from '../../features/quotes/RevisionChanges'
import { depositText } from '../../features/quotes/TotalsTable'
import { reader } from '../../reader'
import { pageWords, readerLanguage } from '../../readerLanguage'
import { navigate } from '../../router'
import { format } from '../../shopFormat'
import { useDraft } from '../../useDraft'
import { useSaveOnce } from '../../useSaveOnce'
import { CustomerHandOver } from './CustomerHandOver'
import { QuoteLines } from './QuoteLines'
import { QuoteSignature } from './QuoteSignature'
import { type CustomerQuote, NO_ANSWERS, type QuoteAnswers } from './quoteAnswers'
import { ReturnPhone } from './ReturnPhone'

/** The only screen while the customer holds the phone: their quote or hand-over, without costs and without links. */
export function CustomerModeScreen() {
  const subject = customerMode.value
  const language = readerLanguage.value
  useLayoutEffect(() => {
    const { documentElement } = document
    const before = documentElement.lang
    documentElement.lang = language
    return () => {
      documentElement.lang = before
    }
  }, [language])
  if (subject?.kind === 'stop') return <CustomerHandOver id={subject.id} />
  const row = subject ? quote(subject.id) : undefined
  return row ? <QuoteDecision row={row} /> : null
}

function QuoteDecision({ row }: { row: Quote }) {
  // Drafts are stored under this name since the first build.
  const [changes] = useState(() => changesOf(row))
  const draft = useDraft<QuoteAnswers>(`owner:${row.id}`, { ...NO_ANSWERS, answers: keptAnswers(changes) })
  const { fields, update } = draft
  const [errors, setErrors] = useState<{ name?: string; ink?: string }>({})
  const { busy, save } = useSaveOnce()
  const offer = { ...offerOf(row, fields), changes }

  function decide() {
    const { name, strokes, noInk } = fields
    const inkWanted = offer.yes.length > 0 && !noInk
    const found = {
      ...(!name.trim() && { name: reader.value.quote.missingName }),
      ...(inkWanted && !strokes.length && { ink: reader.value.quote.missingInk }),
    }
    setErrors(found)
    const digest = row.offer_digest
    if (Object.keys(found).length || !digest) return
    void save(
      () => decideQuote(decisionOf(offer, digest, fields)),
      () => update({ step: 'done', strokes: [] }),
      pageWords.value.savedHere,
    )
  }

  if (fields.step === 'lines' && row.state === 'offered') return <QuoteLines offer={offer} draft={draft} />
  if (fields.step === 'sign' && row.state === 'offered')
    return <QuoteSignature offer={offer} draft={draft} errors={errors} busy={busy} onDecide={decide} />
  const undecided = fields.step === 'undecided'
  const { given, backToLines } = reader.value.quote
  return (
    <ReturnPhone
      shop={offer.document.shop}
      outcome={undecided ? given : outcomeText(offer)}
      confirmLabel={en.quote.staff.takeBackYes}
      again={undecided ? { words: backToLines, press: () => update({ step: 'lines' }) } : null}
      onReturn={() => {
        draft.discard()
        leaveCustomerMode()
        navigate(undecided ? { at: 'quote', id: row.id } : { at: 'job', id: row.job_id }, { replace: true })
      }}
    />
  )
}

/** The answers to what has not changed since the quote that was signed; the customer may change them. */
const keptAnswers = (found: RevisionChanges | null): QuoteAnswers['answers'] =>
  Object.fromEntries(
    (found?.changes ?? []).flatMap(({ question, answer }) => (answer ? [[question.key, answer]] : [])),
  )

/** What the customer has said, with what is due. */
function outcomeText({ yes, agreed, sums }: CustomerQuote): string {
  const { thanksYes, thanksNo, thanksAgreed } = reader.value.quote
  const money = format.value.money(sums.total_minor)
  const said = yes.length ? thanksYes(money) : agreed.length ? thanksAgreed(money) : thanksNo
  return [said, depositText(sums)].filter(Boolean).join(' ')
}

/** The quote as the customer sees it, with their answers so far. */
function offerOf(row: Quote, { answers }: QuoteAnswers): Omit<CustomerQuote, 'changes'> {
  const lines = inOrder(linesOf(row.id))
  const document = documentOf(row, defaultValidUntil(row))
  const questions = questionsOf(document.lines)
  const said = (answer: 'yes' | 'no') => questions.filter(({ key }) => answers[key] === answer)
  const yes = said('yes')
  const accepted = new Set(idsOf(yes))
  return {
    row,
    document,
    questions,
    agreed: document.lines.filter(({ agreed }) => agreed),
    yes,
    no: said('no'),
    sums: calculateAccepted(row, lines, accepted),
    later: laterPriceOfAccepted(row, lines, accepted),
  }
}

const idsOf = (questions: readonly Question[]): string[] =>
  questions.flatMap(({ lines }) => lines.map(({ id }) => id))

/** The decision as the command takes it, with the signature where there is one. */
function decisionOf(
  { row, yes, no }: CustomerQuote,
  digest: string,
  { name, strokes, box, noInk }: QuoteAnswers,
) {
  const inked = strokes.length > 0 && !noInk
  return {
    quote_id: row.id,
    revision: row.revision,
    how: inked ? ('glass' as const) : ('in_person' as const),
    decided_by_name: name.trim(),
    decided_at: moment(Date.now()),
    zone: shop.value?.zone ?? 'UTC',
    digest,
    accepted_ids: idsOf(yes),
    declined_ids: idsOf(no),
    ...(inked && { signature: { strokes, ...box } }),
  }
}
