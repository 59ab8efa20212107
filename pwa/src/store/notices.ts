import { readNoticeText } from '../api/notices'
import { Problem } from '../api/problem'
import type { Commands } from '../domain/commands'
import type { Customer, Notice, NoticeTemplate } from '../domain/rows'
import type { Wording, WordingChannel } from '../domain/template'
import { moment } from '../domain/time'
import { newId } from './clock'
import { enqueue } from './outbox'
import { all, byAge, of } from './shown'

export { readChannels } from '../api/notices'

/** The messages about some things, oldest first. */
export const noticesAbout = (ids: readonly string[]): Notice[] =>
  ids.flatMap((id) => of('notice', 'about_id', id)).sort(byAge)

export const noteSent = (id: string) => enqueue('note_sent_by_hand', { id, sent_at: moment(Date.now()) })

export const sendAgain = (id: string) => enqueue('send_again', { id })

/** Notes a message that was written in the phone's own program. */
export const recordMessage = (told: Omit<Commands['record_message'], 'id' | 'sent_at'>) =>
  enqueue('record_message', { id: newId(), sent_at: moment(Date.now()), ...told })

/**
 * A message with its secret link, fetched as it is wanted and kept nowhere; the server's words when it has none to
 * give, null without a signal.
 */
export async function wholeText(id: string): Promise<Wording | string | null> {
  try {
    return await readNoticeText(id)
  } catch (error) {
    return error instanceof Problem ? error.message : null
  }
}

/** A message about something that this server could not send: somebody's to send by hand. */
export const owedByHand = (about_id: string): Notice | undefined =>
  of('notice', 'about_id', about_id).find(({ state, has_link }) => state === 'by_hand' && !has_link)

/** The shop's own words for a kind of message, if it has any. */
export const ownWording = (key: string, channel: WordingChannel): NoticeTemplate | undefined =>
  all('notice_template').find((row) => row.key === key && row.channel === channel)

/** Puts the shop's own words in the place of what stood. */
export const putWording = (key: string, channel: WordingChannel, { subject, body }: Wording) =>
  enqueue('put_notice_template', { id: ownWording(key, channel)?.id ?? newId(), key, channel, subject, body })

/** Goes back to the words that come with Drawbar; gives what takes that back. */
export async function dropWording(row: NoticeTemplate): Promise<() => Promise<unknown>> {
  await enqueue('drop_notice_template', { id: row.id })
  return () => putWording(row.key, row.channel as WordingChannel, row)
}

/** Whether a customer's number or address wants no messages; the row that says so. */
export function optOutOf(customer: Customer, channel: 'email' | 'sms') {
  const mine = channel === 'email' ? customer.email : customer.phone
  return all('opt_out').find((row) => row.channel === channel && isSame(channel, row.address, mine))
}

export const optOut = (channel: 'email' | 'sms', address: string) =>
  enqueue('opt_out', { id: newId(), channel, address })

export const optIn = (id: string) => enqueue('opt_in', { id })

/** The server keeps a number with its country; the last nine digits tell whether it is the one typed. */
function isSame(channel: 'email' | 'sms', kept: string, typed: string): boolean {
  if (channel === 'email') return kept.toLowerCase() === typed.trim().toLowerCase()
  const end = (text: string) => text.replaceAll(/\D/gu, '').slice(-9)
  return end(typed) !== '' && end(kept) === end(typed)
}
