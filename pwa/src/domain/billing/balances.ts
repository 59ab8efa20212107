/**
 * What is billed, paid and open on a job or on an invoice without one.
 *
 * Twin: `shopapi/billing/rules/balances.py`, where the rules are written down; both run `fixtures/billing/balances.json`.
 */
import { sum } from '../numbers/money.ts'

/** An issued invoice less its credit notes, in minor units, in the order of issue. */
export interface Due {
  invoice_id: string
  minor: number
}

/** What an entry counts for the bill (below zero: given back), and the invoice that it names. */
export interface Entry {
  invoice_id: string | null
  minor: number
}

export interface Balance {
  billed: number
  paid: number
  /** What is paid of each invoice, in their order. */
  paid_on: number[]
  /** What the customer has to pay now. */
  open: number
  /** A deposit in hand while nothing is billed, else what was paid too much. */
  unused: number
}

/** Settles the invoices of a job with its payments. */
export function balanceOf(dues: readonly Due[], entries: readonly Entry[]): Balance {
  const at = new Map(dues.map(({ invoice_id }, index) => [invoice_id, index]))
  const paid_on = dues.map((_, index) =>
    sum(entries.filter((entry) => at.get(entry.invoice_id ?? '') === index).map(({ minor }) => minor)),
  )
  const paid = sum(entries.map(({ minor }) => minor))
  let unused = paid - sum(paid_on)
  const move = (index: number, minor: number) => {
    paid_on[index] = (paid_on[index] ?? 0) + minor
    unused -= minor
  }
  const lacking = (index: number) => (dues[index]?.minor ?? 0) - (paid_on[index] ?? 0)
  for (const index of dues.keys()) move(index, Math.min(0, lacking(index)))
  for (const index of dues.keys()) move(index, Math.max(0, Math.min(unused, lacking(index))))
  for (const index of [...dues.keys()].reverse())
    move(index, -Math.max(0, Math.min(-unused, paid_on[index] ?? 0)))
  const billed = sum(dues.map(({ minor }) => minor))
  return { billed, paid, paid_on, open: billed - sum(paid_on), unused }
}

/** By how much is paid too much, in minor units; 0: not. */
export function tooMuch(balance: Balance, agreed: number, is_deposit: boolean): number {
  const has_bill = balance.paid_on.length > 0
  const expected = is_deposit || !has_bill ? Math.max(balance.billed, agreed) : balance.billed
  return has_bill || expected ? Math.max(0, balance.paid - expected) : 0
}
