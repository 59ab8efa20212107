import type { OfferDocument } from '../../../domain/offer'
import type { Reckoning } from '../../../domain/reckoning'
import type { Quote } from '../../../domain/rows'
import type { Drawn } from '../../components/Ink'
import type { Answer } from '../../components/Verdict'

/** What the owner has said so far; kept through a reload. */
export interface Owned {
  step: 'lines' | 'sign' | 'done' | 'undecided'
  answers: Record<string, Answer>
  name: string
  strokes: Drawn
  box: { width: number; height: number }
  noInk: boolean
}

export const UNTOUCHED: Owned = {
  step: 'lines',
  answers: {},
  name: '',
  strokes: [],
  box: { width: 1, height: 1 },
  noInk: false,
}

/** The quote as the owner sees it, with what their answers come to. */
export interface OwnedQuote {
  row: Quote
  document: OfferDocument
  /** The lines decided one by one: all but discounts. */
  lines: OfferDocument['lines']
  yes: string[]
  no: string[]
  sums: Reckoning
  /** What the yeses come to if they are done later; null where none says so. */
  later: number | null
}
