/**
 * The words of messages: templates with named fields in braces. Twin of `shopapi/notices/rules/templates.py`; both agree
 * on every case of `fixtures/notices/wordings.json`.
 */

import { type Language, LONGEST_WORDING, type TemplateChannel } from '../contract.ts'

export type WordingChannel = TemplateChannel

/** Subject (the title of a push; empty for a text message) and body, with fields in braces. */
export interface Wording {
  subject: string
  body: string
}

/**
 * One kind of message: its fields with an example of each, and its words by channel. In Spanish there is what goes to
 * customers; messages to members are in English.
 */
export interface MessageType {
  examples: Readonly<Record<string, string>>
  words: Readonly<Partial<Record<WordingChannel, Wording>>>
  in_spanish: Readonly<Partial<Record<WordingChannel, Wording>>>
}

/** The words that come with Drawbar in a language, by channel. */
export const firstWords = ({ words, in_spanish }: MessageType, language: Language) =>
  language === 'es' ? in_spanish : words

/** The fault of a part of a wording: a field that this kind of message does not have (its name), or a wrong form. */
export type WordingFault =
  | { what: 'unknown'; field: string }
  | { what: 'brace' | 'one_line' | 'missing' | 'too_long' }

const FIELD = /\{([a-z_]+)\}/gu

/** Fills in the fields of a text; a field without a value stays in braces. Braces in values are literal. */
export const fill = (text: string, values: Readonly<Record<string, string>>): string =>
  text.replaceAll(FIELD, (whole, name: string) =>
    Object.hasOwn(values, name) ? (values[name] ?? whole) : whole,
  )

/** An example value for each field of a kind of message; the shop's name is the real one. */
export const examplesOf = ({ examples }: MessageType, shopName: string): Readonly<Record<string, string>> =>
  examples['shop'] !== undefined && shopName ? { ...examples, shop: shopName } : examples

/** The faults by part; empty when the server would accept it. */
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

/** Number of code points, as counted by the server. */
const length = (text: string): number => [...text].length

function faultOf(text: string, type: MessageType): WordingFault | undefined {
  for (const [, field = ''] of text.matchAll(FIELD))
    if (!Object.hasOwn(type.examples, field)) return { what: 'unknown', field }
  return /[{}]/u.test(text.replaceAll(FIELD, '')) ? { what: 'brace' } : undefined
}
