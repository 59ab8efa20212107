/**
 * The words of messages: templates with named fields in braces. Twin of `shopapi/notices/rules/templates.py`; both agree
 * on every case of `fixtures/notices/wordings.json`.
 */

import { LONGEST_WORDING, type TemplateChannel } from '../contract.ts'

export type WordingChannel = TemplateChannel

/** Subject (the title of a push; empty for a text message) and body, with fields in braces. */
export interface Wording {
  subject: string
  body: string
}

/** One kind of message: the fields it may name with an example of each, and its words by channel. */
export interface MessageType {
  examples: Readonly<Record<string, string>>
  words: Readonly<Partial<Record<WordingChannel, Wording>>>
}

/** What is wrong with a part of a wording: a field that this kind has not (its name), or the wrong shape. */
export type WordingFault =
  | { what: 'unknown'; field: string }
  | { what: 'brace' | 'one_line' | 'missing' | 'too_long' }

const FIELD = /\{([a-z_]+)\}/gu

/** The text with its fields filled in; what has no value stays in braces. A value's own braces mean nothing. */
export const fill = (text: string, values: Readonly<Record<string, string>>): string =>
  text.replaceAll(FIELD, (whole, name: string) =>
    Object.hasOwn(values, name) ? (values[name] ?? whole) : whole,
  )

/** A value for each field of a kind, to show how it reads; the shop's name is its own. */
export const examplesOf = ({ examples }: MessageType, shopName: string): Readonly<Record<string, string>> =>
  examples['shop'] !== undefined && shopName ? { ...examples, shop: shopName } : examples

/** What is wrong, by part; empty when the server would take it. */
export function checkWording(
  type: MessageType,
  channel: WordingChannel,
  { subject, body }: Wording,
): Partial<Record<keyof Wording, WordingFault>> {
  const ofSubject =
    faultOf(subject, type) ??
    (/[\r\n]/u.test(subject) ? { what: 'one_line' as const } : undefined) ??
    (channel !== 'sms' && !subject.trim() ? { what: 'missing' as const } : undefined) ??
    (length(subject) > LONGEST_WORDING.subject ? { what: 'too_long' as const } : undefined)
  const ofBody =
    faultOf(body, type) ??
    (body ? undefined : { what: 'missing' as const }) ??
    (length(body) > (channel === 'sms' ? LONGEST_WORDING.sms : LONGEST_WORDING.body)
      ? { what: 'too_long' as const }
      : undefined)
  return { ...(ofSubject && { subject: ofSubject }), ...(ofBody && { body: ofBody }) }
}

/** Characters as the server counts them. */
const length = (text: string): number => [...text].length

function faultOf(text: string, type: MessageType): WordingFault | undefined {
  for (const [, field = ''] of text.matchAll(FIELD))
    if (!Object.hasOwn(type.examples, field)) return { what: 'unknown', field }
  return /[{}]/u.test(text.replaceAll(FIELD, '')) ? { what: 'brace' } : undefined
}
