import type { Quote, QuoteTotals } from '../../../domain/contract'
import type { OfferDocument } from '../../../domain/quotes/offer'
import type { Answer } from '../../components/LineDecision'
import type { Strokes } from '../../components/SignatureCanvas'

/** The answers so far; kept as a draft through a reload. */
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
  /** The lines decided one by one: all but discounts. */
  lines: OfferDocument['lines']
  yes: string[]
  no: string[]
  sums: QuoteTotals
  /** What the yeses come to if they are done later; null where none says so. */
  later: number | null
}
