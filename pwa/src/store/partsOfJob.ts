import type { Quote, QuoteLine } from '../domain/contract'
import { isPendingRevision, linesOf, quotesOf } from './quotes'

/** Where a part of a job stands, as far as its quote tells. */
export type QuotedPartState = 'approved' | 'asked' | 'draft' | 'declined'

export interface PartOfJob {
  quote: Quote
  line: QuoteLine
  state: QuotedPartState
}

const OVER: ReadonlySet<Quote['state']> = new Set(['replaced', 'withdrawn', 'lapsed'])

/** The parts of a job on quotes that stand, in their order. What a revision that nobody decided says is left out. */
export function partsOfJob(job_id: string): PartOfJob[] {
  return quotesOf(job_id)
    .filter((row) => !OVER.has(row.state) && !isPendingRevision(row))
    .flatMap((quote) =>
      linesOf(quote.id)
        .filter(({ kind }) => kind === 'part')
        .map((line) => ({ quote, line, state: stateOf(quote, line) })),
    )
}

function stateOf({ state }: Quote, { decided }: QuoteLine): QuotedPartState {
  if (state === 'draft') return 'draft'
  return decided === 'accepted' ? 'approved' : decided === 'declined' ? 'declined' : 'asked'
}
