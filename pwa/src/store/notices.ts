import { readNoticeText } from '../api/notices'
import { Problem } from '../api/problem'
import type { Customer, Language, Notice, NoticeTemplate } from '../domain/contract'
import type { Wording, WordingChannel } from '../domain/notices/templates'
import { moment } from '../domain/time'
import { newId } from './browser/clock'
import { type NewRowFields, sendAdd, sendRemove } from './queue/commands'
import { enqueue } from './queue/outbox'
import { allOf, byAge, ownedBy } from './rows/selectors'

export { readChannels } from '../api/notices'

/** The messages about some rows, oldest first. */
export const noticesAbout = (ids: readonly string[]): Notice[] =>
  ids.flatMap((id) => ownedBy('notice', 'about_id', id)).sort(byAge)

export const markSentByHand = (id: string) =>
  enqueue('note_sent_by_hand', { id, sent_at: moment(Date.now()) })

export const resendNotice = (id: string) => enqueue('send_again', { id })

/** Records a message that was sent with the phone's own app. */
export const recordMessage = (fields: Omit<NewRowFields<'record_message'>, 'sent_at'>) =>
  sendAdd('record_message', { sent_at: moment(Date.now()), ...fields })

/**
 * A message with its secret link, fetched on request and not stored; the server's message when it has none, null
 * without a signal.
 */
export async function readNoticeWithLink(id: string): Promise<Wording | string | null> {
  try {
    return await readNoticeText(id)
  } catch (error) {
    return error instanceof Problem ? error.message : null
  }
}

/** A message about a row that the server could not send: to be sent by hand. */
export const noticeToSendByHand = (about_id: string): Notice | undefined =>
  ownedBy('notice', 'about_id', about_id).find(({ state, has_link }) => state === 'by_hand' && !has_link)

/** Which text it is: of a kind of message on a channel in a language. */
export interface WordingKey {
  key: string
  channel: WordingChannel
  language: Language
}

/** The shop's own text, if it has one. */
export const ownWording = ({ key, channel, language }: WordingKey): NoticeTemplate | undefined =>
  allOf('notice_template').find(
    (row) => row.key === key && row.channel === channel && row.language === language,
  )

/** Saves the shop's own text. */
export const putWording = (of: WordingKey, { subject, body }: Wording) =>
  enqueue('put_notice_template', { id: ownWording(of)?.id ?? newId(), ...of, subject, body })

/** Restores the built-in text. Returns the undo. */
export async function dropWording(row: NoticeTemplate): Promise<() => Promise<unknown>> {
  await sendRemove('drop_notice_template', row.id)
  const { key, channel, language } = row
  return () => putWording({ key, channel, language }, row)
}

/** The opt-out of a customer's number or address, if there is one. */
export function optOutOf(customer: Customer, channel: 'email' | 'sms') {
  const mine = channel === 'email' ? customer.email : customer.phone
  return allOf('opt_out').find((row) => row.channel === channel && isSame(channel, row.address, mine))
}

export const optOut = (channel: 'email' | 'sms', address: string) => sendAdd('opt_out', { channel, address })

export const optIn = (id: string) => sendRemove('opt_in', id)

/** The server stores numbers with their country code, so the last nine digits are compared. */
function isSame(channel: 'email' | 'sms', kept: string, typed: string): boolean {
  if (channel === 'email') return kept.toLowerCase() === typed.trim().toLowerCase()
  const end = (text: string) => text.replaceAll(/\D/gu, '').slice(-9)
  return end(typed) !== '' && end(kept) === end(typed)
}
