/**
 * The text of the code that a bank app reads to fill in a transfer: guideline EPC069-12, version 002, one value a line.
 *
 * Twin: `shopapi/billing/rules/transfers.py`, which also checks the account when it is saved; both run
 * `fixtures/billing/transfer_codes.json`.
 */
import { plainAmount } from '../numbers/money.ts'

export interface Transfer {
  name: string
  iban: string
  bic: string
  currency: string
  minor: number
  /** What for. */
  text: string
}

/** In characters and in bytes: all lines together have at most 331. */
const MOST_NAME = [70, 140] as const
const MOST_TEXT = [140, 108] as const

/** Null where there is no code: no account, not in euro, nothing to pay. */
export function transferCode({ name, iban, bic, currency, minor, text }: Transfer): string | null {
  if (!iban || !name || currency !== 'EUR' || minor <= 0 || minor > 99_999_999_999) return null
  const amount = plainAmount(minor, 2).replace(/\.?0+$/, '')
  const account = [bic, line(name, MOST_NAME), iban].map((part, at) =>
    at === 1 ? part : part.replace(/\s/g, ''),
  )
  return ['BCD', '002', '1', 'SCT', ...account, `EUR${amount}`, '', '', line(text, MOST_TEXT)].join('\n')
}

/** A text as one line of the code, of at most so many characters and bytes. */
function line(text: string, [characters, size]: readonly [number, number]): string {
  const plain = [...text.split(/\s+/).filter(Boolean).join(' ')].slice(0, characters)
  while (bytesOf(plain.join('')) > size) plain.pop()
  return plain.join('').trim()
}

/** The length of a text in UTF-8. */
const bytesOf = (text: string): number => encodeURIComponent(text).replace(/%[0-9A-F]{2}/g, '.').length
