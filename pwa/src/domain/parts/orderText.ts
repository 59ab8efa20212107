/**
 * An order as text for a mail or message, and as a table.
 *
 * Twin: `shopapi/parts/rules/order_text.py`; both run `fixtures/parts/order_texts.json`.
 */
import { type DecimalText, plainDecimal } from '../numbers/decimal.ts'

/** A line of an order as it is written to the supplier. */
export interface TextLine {
  readonly quantity: DecimalText
  readonly number: string
  readonly description: string
}

export function lineText({ quantity, number, description }: TextLine): string {
  return `${plainDecimal(quantity)} x ${[number, description].filter(Boolean).join(', ')}`
}

/** What is ordered, a line each, then the shop's number at the supplier and the note, where there are any. */
export function linesText(lines: readonly TextLine[], customerNumber: string, note: string): string {
  const parts = [lines.map(lineText).join('\n')]
  if (customerNumber) parts.push(`Our customer number: ${customerNumber}`)
  if (note.trim()) parts.push(note.trim())
  return parts.join('\n\n')
}
