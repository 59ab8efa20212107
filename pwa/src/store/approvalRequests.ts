import { readLinkAddress } from '../api/approvalLinks'
import type {
  Approval,
  ApprovalLink,
  Command,
  Commands,
  CustomerQuestion,
  Finding,
  Notice,
} from '../domain/contract'
import { moment } from '../domain/time'
import { newId } from './browser/clock'
import { type NewRowFields, sendAdd } from './queue/commands'
import { enqueue, enqueueAll, newProvisionalMark } from './queue/outbox'
import { queue } from './queue/queue'
import { linesOf, quotesOf } from './quotes'
import { allOf, byAge, byId, ownedBy } from './rows/selectors'
import { requireShopSession } from './session/shopSession'

export const request = (id: string) => byId('approval_link', id)

/** The approval requests of a quote, newest first. */
export const requestsOf = (quote_id: string): ApprovalLink[] =>
  ownedBy('approval_link', 'quote_id', quote_id).sort(byAge).reverse()

export const questionsOf = (quote_id: string): CustomerQuestion[] =>
  ownedBy('customer_question', 'quote_id', quote_id).sort(byAge)

/** Customers’ questions without a call yet, oldest first. */
export const openQuestions = (): CustomerQuestion[] =>
  allOf('customer_question')
    .filter(({ answered_at }) => answered_at === null)
    .sort(byAge)

const RECENT_MS = 2 * 24 * 3_600_000

/** What customers decided by link in the last two days, the newest first. */
export const recentAnswers = (now: number): Approval[] =>
  allOf('approval')
    .filter((row) => row.link_id !== null && now - Date.parse(row.decided_at) < RECENT_MS)
    .sort(byAge)
    .reverse()

/** Whether a request has not reached the server, which makes its link. */
export const isUnsentRequest = (id: string): boolean =>
  queue.value.some((entry) => entry.args.id === id && entry.name === 'send_approval_request')

export const sendRequest = (fields: NewRowFields<'send_approval_request'>) =>
  sendAdd('send_approval_request', fields)

export async function revokeRequest(id: string): Promise<void> {
  await enqueue('revoke_approval_link', { id })
}

export async function markAnswered(id: string): Promise<void> {
  await enqueue('answer_customer_question', { id })
}

/** The message with the link of a request, if the server has one. */
export const noticeOfRequest = (link: ApprovalLink): Notice | undefined =>
  ownedBy('notice', 'about_id', link.quote_id)
    .filter(
      ({ template, address, created_at }) =>
        template === 'approval_request' && address === link.address && created_at >= link.created_at,
    )
    .sort(byAge)[0]

export async function markSentByHand(id: string): Promise<void> {
  await enqueue('note_sent_by_hand', { id, sent_at: moment(Date.now()) })
}

/** Anyone with this address can answer, so it is fetched when it is shown and never stored. */
export const readRequestLink = (id: string): Promise<string> => readLinkAddress(id)

type NewLine = Omit<Commands['put_quote_line'], 'id' | 'quote_id' | 'position'>
type OfferFields = Pick<
  Commands['offer_quote'],
  'valid_until' | 'digest' | 'total_minor' | 'shown' | 'offered_on'
>

/**
 * Creates a quote of the lines of one work and offers it, all in one save. `show` gets the ids and returns what the customer is
 * about to see.
 */
export async function draftAndOffer(
  draft: Pick<Commands['draft_quote'], 'job_id' | 'kind' | 'basis'>,
  lines: readonly NewLine[],
  show: (
    quote_id: string,
    lines: readonly (NewLine & { id: string; position: number })[],
  ) => Promise<OfferFields>,
): Promise<string> {
  const id = newId()
  const first = newId()
  const placed = lines.map((line, at) =>
    at
      ? { ...line, id: newId(), position: at + 1, belongs_to_id: first }
      : { ...line, id: first, position: 1 },
  )
  const offered = await show(id, placed)
  const commands: Command[] = [
    { name: 'draft_quote', args: { id, ...draft, mark: await newProvisionalMark(requireShopSession().db) } },
    ...placed.map((line) => ({ name: 'put_quote_line' as const, args: { ...line, quote_id: id } })),
    { name: 'offer_quote', args: { id, ...offered } },
  ]
  await enqueueAll(commands)
  return id
}

/** The id of the quote that is offered to the customer and covers a finding; undefined if there is none. */
export const offeredQuoteFor = (finding: Finding): string | undefined =>
  quotesOf(finding.job_id).find(
    ({ id, state }) => state === 'offered' && linesOf(id).some(({ finding_id }) => finding_id === finding.id),
  )?.id

/** Work before the first decision is part of the first quote; after that it is added work. */
export const nextQuoteKind = (job_id: string): 'first' | 'added' =>
  quotesOf(job_id).some(({ state }) => state === 'decided' || state === 'offered') ? 'added' : 'first'
