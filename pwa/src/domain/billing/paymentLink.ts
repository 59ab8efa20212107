/**
 * The link to the shop's own payment page, made from a template with fields in braces.
 *
 * Twin: `shopapi/billing/rules/payment_link.py`; both run `fixtures/billing/payment_links.json`.
 */
import { minorDigits, plainAmount } from '../numbers/money.ts'

export interface Payable {
  number: string
  minor: number
  currency: string
}

/** The template with its fields filled in and escaped; empty without one. */
export function paymentLink(template: string, { number, minor, currency }: Payable): string {
  const values: Record<string, string> = {
    number,
    amount: plainAmount(minor, minorDigits(currency)),
    minor: String(minor),
    currency,
  }
  return template.replace(/\{([^{}]*)\}/g, (_, name: string) => escaped(values[name] ?? ''))
}

/** Everything but letters, digits and "-._~" escaped: `encodeURIComponent` leaves five characters more. */
const escaped = (text: string): string =>
  encodeURIComponent(text).replace(/[!'()*]/g, (mark) => `%${mark.charCodeAt(0).toString(16).toUpperCase()}`)
