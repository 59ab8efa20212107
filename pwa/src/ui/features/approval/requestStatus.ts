import type { ApprovalLink, Quote } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { isUnsentRequest } from '../../../store/approvalRequests'
import { format } from '../../shopFormat'

const t = en.requests.statuses

/** Whether a request can still be answered, by this phone's clock; the server decides by its own. */
export function isOpenRequest(link: ApprovalLink, quote: Quote | undefined, now: number): boolean {
  const dead = link.used_at !== null || link.revoked_at !== null || Date.parse(link.expires_at) <= now
  return !dead && quote?.state === 'offered'
}

/** The status of a request as text. */
export function requestStatus(link: ApprovalLink, quote: Quote | undefined, now: number): string {
  const when = format.value.moment
  if (link.used_at !== null) return t.answered(when(link.used_at))
  if (link.revoked_at !== null) return t.back
  if (!isOpenRequest(link, quote, now)) return t.over
  if (isUnsentRequest(link.id) && link.opened_at === null) return t.waiting
  return link.opened_at === null ? t.made : t.opened(when(link.opened_at))
}
