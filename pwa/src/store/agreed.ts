import { type AgreedQuote, type AgreedWork, agreedWork, type WorkedTime } from '../domain/quotes/agreed'
import { priceBook } from './priceBook'
import { decidedQuotes, linesOf } from './quotes'
import { ownedBy } from './rows/selectors'
import { successorsOn } from './successors'

/**
 * What the customer has agreed to on a job, and how far its work is beyond that at an instant (ms since 1970):
 * running clocks count as far as they have run. null while the shop's prices are not on the phone.
 */
export function agreed(jobId: string, now: number): AgreedWork | null {
  const book = priceBook.value?.prices
  return book ? agreedWork(decidedOn(jobId), workedOn(jobId, now), book, successorsOn(jobId)) : null
}

export const hasDecided = (jobId: string) => decidedQuotes(jobId).length > 0

export function decidedOn(jobId: string): AgreedQuote[] {
  return decidedQuotes(jobId).map((quote) => {
    const lines = linesOf(quote.id)
    const accepted = lines.filter((line) => line.decided === 'accepted').map(({ id }) => id)
    return {
      book: quote.basis,
      lines,
      accepted: new Set(accepted),
      discount: quote.discount,
      exempt: quote.shown?.exempt ?? false,
    }
  })
}

export function workedOn(jobId: string, now: number): WorkedTime[] {
  const found: WorkedTime[] = []
  for (const { kind, state, member_id, line_id, operation, ...span } of ownedBy(
    'time_entry',
    'job_id',
    jobId,
  )) {
    if ((kind !== 'repair' && kind !== 'diagnosis') || (state !== 'open' && state !== 'closed')) continue
    const ended = Math.min(now, span.ended_at === null ? now : Date.parse(span.ended_at))
    const seconds = Math.floor((ended - Date.parse(span.started_at)) / 1000)
    if (seconds > 0) found.push({ kind, member_id, line_id, operation, seconds })
  }
  return found
}
