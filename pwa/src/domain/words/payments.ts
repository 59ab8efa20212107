/** Words of payments, loaded with their screens. */

import { named } from '../named.ts'

export const paymentKinds = /* @__PURE__ */ named({
  payment: 'Payment',
  deposit: 'Deposit',
  refund: 'Refund',
  tip: 'Tip',
})

export const paymentMethods = /* @__PURE__ */ named({
  cash: 'Cash',
  check: 'Check',
  card: 'Card',
  transfer: 'Bank transfer',
  credit: 'Customer’s credit',
  other: 'Another way',
})

export const money = {
  title: 'Money',
  approved: 'Approved',
  billed: 'Billed',
  paid: 'Paid',
  open: 'Open',
  inHand: 'Deposit in hand',
  tooMuch: (amount: string) => `Paid ${amount} too much`,
  tooMuchHint: 'Give it back, or keep it as the customer’s credit.',
  credit: 'Customer’s credit',
  keep: 'Keep as credit',
  kept: 'Kept as the customer’s credit',
  giveBack: 'Give back',
  take: 'Take a payment',
  takeOpen: (amount: string) => `Take ${amount}`,
  takeDeposit: (amount: string) => `Take the deposit of ${amount}`,
  entries: 'Payments',
  none: 'No payments yet',
  reversal: (kind: string) => `${kind} reversed`,
  reversed: 'Reversed',
  withTip: (tip: string) => `${tip} tip`,
}

export const payForm = {
  title: 'Take a payment',
  amount: 'Amount',
  kind: 'What it is',
  kindHints: {
    payment: 'For the bill',
    deposit: 'Before the bill',
    tip: 'For the crew, not for the bill',
  },
  method: 'How it is paid',
  cardHint: 'On your own terminal',
  creditHint: (amount: string) => `${amount} is left`,
  tip: 'Tip on top',
  more: 'More',
  moreNames: 'Reference, day, note',
  references: /* @__PURE__ */ named({
    cash: 'Reference',
    check: 'Check number',
    card: 'Receipt number of the terminal',
    transfer: 'Reference of the transfer',
    credit: 'Reference',
    other: 'Reference',
  }),
  day: 'Paid on',
  note: 'Note',
  save: (amount: string) => `Take ${amount}`,
  saveBlank: 'Take it',
  saved: 'Payment saved on this phone',
  missingAmount: 'Enter an amount above zero',
  badTip: 'Enter an amount, or leave it blank',
  cardNumber: 'This looks like a card number. Enter the receipt number of the terminal instead.',
  dayAhead: 'This day is still to come',
  beyond: (amount: string) => `That is ${amount} more than is open`,
  leaves: (amount: string) => `Leaves ${amount} open`,
  even: 'Then it is paid in full',
  creditTooSmall: (amount: string) => `The customer’s credit is ${amount}. Take the rest another way.`,
}

export const refundForm = {
  title: 'Give money back',
  hint: (amount: string) => `${amount} was paid`,
  method: 'How it goes back',
  creditHint: 'Keep it for the customer’s next bill',
  save: (amount: string) => `Give back ${amount}`,
  saveBlank: 'Give it back',
  saved: 'Refund saved on this phone',
  abovePaid: (amount: string) =>
    `Only ${amount} was paid. Refund that at most, or record the missing payment.`,
}

export const receipt = {
  title: 'Receipt',
  about: 'For job',
  customer: 'Customer',
  kind: 'What it is',
  method: 'How',
  day: 'Day',
  tip: 'Tip',
  takenBy: 'Taken by',
  note: 'Note',
  open: 'Still open',
  text: 'Text the receipt',
  mail: 'Email the receipt',
  makePdf: 'Make a PDF receipt',
  openPdf: 'Open the PDF receipt',
  signal: 'The server makes the PDF, so that needs signal.',
  toJob: 'Back to the job',
  toMoney: 'All payments',
  reverse: 'This was a mistake',
  reverseTitle: 'Reverse this entry',
  reverseExplain:
    'Entries are never deleted. An opposite entry of the same day takes this one back; both stay in the list. If the money was paid another way, record that afterwards.',
  why: 'What was wrong',
  missingWhy: 'Say what was wrong with it',
  reverseSave: 'Reverse it',
  reverseSaved: 'Reversed',
  isReversed: 'This entry was a mistake and is reversed.',
  isReversal: 'This entry takes back a mistake.',
}

export const payDirect = {
  title: 'Pay without cash',
  scan: 'Scan with a bank app',
  account: 'To',
  iban: 'IBAN',
  bic: 'BIC',
  reference: 'Reference',
  page: 'Open the payment page',
  pageHint: 'The customer pays there, on the shop’s own page',
}

export const payments = {
  title: 'Payments',
  day: 'Day',
  invoice: 'Invoice',
  kind: 'What it is',
  method: 'How',
  amount: 'For the bill',
  tip: 'Tip',
  taken: 'Changed hands',
  reference: 'Reference',
  member: 'Taken by',
  reversal: (kind: string) => `${kind} reversed`,
  today: 'Today',
  month: 'This month',
  refunds: 'Refunds',
}
