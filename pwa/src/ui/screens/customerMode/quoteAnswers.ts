import type { Quote, QuoteTotals } from '../../../domain/contract'
import type { OfferDocument } from '../../../domain/quotes/offer'
import type { Question } from '../../../domain/quotes/questions'
import type { Answer } from '../../components/LineDecision'
import type { Strokes } from '../../components/SignatureCanvas'
import type { RevisionChanges } from '../../features/quotes/RevisionChanges'

export type QuoteQuestion = Question<OfferDocument['lines'][number]>

/** The answers so far, by the keys of the questions; kept as a draft through a reload. */
export interface QuoteAnswers {
  step: 'lines' | 'sign' | 'done' | 'undecided'
  answers: Record<string, Answer>
  name: string
  strokes: Strokes
  box: { width: number; height: number }
  noInk: boolean
}

export const NO_ANSWERS: QuoteAnswers = {
  step: 'lines',
  answers: {},
  name: '',
  strokes: [],
  box: { width: 1, height: 1 },
  noInk: false,
}

/** The quote as the customer sees it, with the totals of their answers. */
export interface CustomerQuote {
  row: Quote
  document: OfferDocument
  questions: QuoteQuestion[]
  /** Costs that count whatever the customer answers. */
  agreed: OfferDocument['lines']
  yes: QuoteQuestion[]
  no: QuoteQuestion[]
  sums: QuoteTotals
  /** What it changes against the quote that was signed before. */
  changes: RevisionChanges | null
  /** What the yeses come to if they are done later; null where none says so. */
  later: number | null
}
