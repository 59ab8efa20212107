import type { ComponentChildren } from 'preact'

/** Numbers of jobs, orders, quotes and invoices, and their marks: "J-1068", "B-74-1", "INV-1053". */
const NUMBER = /([A-Z][A-Z0-9]{0,7}(?:-[A-Z]{0,2}[0-9]+)+)/

/** A text whose numbers stay on one line: a browser may break "J-1068" after its hyphen. */
export const unbroken = (text: ComponentChildren): ComponentChildren =>
  typeof text === 'string' && NUMBER.test(text)
    ? text.split(NUMBER).map((part, at) => (at % 2 ? <span class="unbroken">{part}</span> : part))
    : text
