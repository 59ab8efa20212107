import type { ApprovalLink, Quote } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { isUnsentRequest } from '../../../store/asking'
import { figures } from '../../shopFigures'

const its = en.asking.standing

/** Whether a request may still be answered: the server says so in the end, by its own clock. */
export function asksStill(link: ApprovalLink, quote: Quote | undefined, now: number): boolean {
  const dead = link.used_at !== null || link.revoked_at !== null || Date.parse(link.expires_at) <= now
  return !dead && quote?.state === 'offered'
}

/** Where a request stands, in words. */
export function standingOf(link: ApprovalLink, quote: Quote | undefined, now: number): string {
  const when = figures.value.moment
  if (link.used_at !== null) return its.answered(when(link.used_at))
  if (link.revoked_at !== null) return its.back
  if (!asksStill(link, quote, now)) return its.over
  if (isUnsentRequest(link.id) && link.opened_at === null) return its.waiting
  return link.opened_at === null ? its.made : its.opened(when(link.opened_at))
}
