import { readLinkAddress } from '../api/asking'
import type { Command, Commands } from '../domain/commands'
import type { ApprovalLink, Finding, Notice, OwnerQuestion } from '../domain/rows'
import { moment } from '../domain/time'
import { newId } from './clock'
import { current } from './opened'
import { enqueue, enqueueAll, mintMark } from './outbox'
import { queue } from './queue'
import { linesOf, quotesOf } from './quotes'
import { all, byAge, of, one } from './shown'

export const request = (id: string) => one('approval_link', id)

/** What the owner was asked about a quote, newest first. */
export const requestsOf = (quote_id: string): ApprovalLink[] =>
  of('approval_link', 'quote_id', quote_id).sort(byAge).reverse()

export const questionsOf = (quote_id: string): OwnerQuestion[] =>
  of('owner_question', 'quote_id', quote_id).sort(byAge)

/** Every question that nobody has called about yet, oldest first. */
export const openQuestions = (): OwnerQuestion[] =>
  all('owner_question')
    .filter(({ answered_at }) => answered_at === null)
    .sort(byAge)

/** Whether a request has not reached the server, which alone can make its link. */
export const isUnsentRequest = (id: string): boolean =>
  queue.value.some((entry) => entry.args.id === id && entry.name === 'send_approval_request')

export async function sendRequest(asked: Omit<Commands['send_approval_request'], 'id'>): Promise<string> {
  const id = newId()
  await enqueue('send_approval_request', { id, ...asked })
  return id
}

export async function takeRequestBack(id: string): Promise<void> {
  await enqueue('revoke_approval_link', { id })
}

export async function noteAnswered(id: string): Promise<void> {
  await enqueue('answer_owner_question', { id })
}

/** The message that carries a request, as far as the server has written one. */
export const messageOf = (link: ApprovalLink): Notice | undefined =>
  of('notice', 'about_id', link.quote_id)
    .filter(
      ({ template, address, created_at }) =>
        template === 'approval_request' && address === link.address && created_at >= link.created_at,
    )
    .sort(byAge)[0]

export async function noteSent(id: string): Promise<void> {
  await enqueue('note_sent_by_hand', { id, sent_at: moment(Date.now()) })
}

/** Whoever holds this address may answer, so it is asked for when it is shown and kept nowhere. */
export const addressOf = (id: string): Promise<string> => readLinkAddress(id)

type Line = Omit<Commands['put_quote_line'], 'id' | 'quote_id' | 'position'>
type Offered = Pick<Commands['offer_quote'], 'valid_until' | 'digest' | 'total_minor' | 'shown'>

/**
 * Writes a quote of a few lines and offers it, all in one: none of it stands without the rest. `show` is given the
 * ids and says what the owner is about to see.
 */
export async function offerAtOnce(
  draft: Pick<Commands['draft_quote'], 'job_id' | 'kind' | 'basis'>,
  lines: readonly Line[],
  show: (quote_id: string, lines: readonly (Line & { id: string; position: number })[]) => Promise<Offered>,
): Promise<string> {
  const id = newId()
  const placed = lines.map((line, at) => ({ ...line, id: newId(), position: at + 1 }))
  const offered = await show(id, placed)
  const commands: Command[] = [
    { name: 'draft_quote', args: { id, ...draft, mark: await mintMark(current().db) } },
    ...placed.map((line) => ({ name: 'put_quote_line' as const, args: { ...line, quote_id: id } })),
    { name: 'offer_quote', args: { id, ...offered } },
  ]
  await enqueueAll(commands)
  return id
}

/** The quote that lies before the owner and speaks of a finding, if there is one. */
export const offerAbout = (finding: Finding): string | undefined =>
  quotesOf(finding.job_id).find(
    ({ id, state }) => state === 'offered' && linesOf(id).some(({ finding_id }) => finding_id === finding.id),
  )?.id

/** Work asked for before anything was decided is part of the first quote; after that it is added work. */
export const kindOfMore = (job_id: string): 'first' | 'added' =>
  quotesOf(job_id).some(({ state }) => state === 'decided' || state === 'offered') ? 'added' : 'first'
