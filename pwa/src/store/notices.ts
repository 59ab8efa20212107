import type { Commands } from '../domain/commands'
import type { Customer, Notice } from '../domain/rows'
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
