import { named } from '../named.ts'
import { counted } from './plural'

export const orderStates = /* @__PURE__ */ named({
  draft: 'Draft',
  sent: 'Sent',
  confirmed: 'Confirmed',
  closed: 'Closed',
  cancelled: 'Cancelled',
})

export const lineAnswers = /* @__PURE__ */ named({
  open: 'No answer yet',
  confirmed: 'Confirmed',
  back_ordered: 'Back-ordered',
  no_longer_made: 'No longer made',
  dropped: 'Given up',
})

export const conditions = /* @__PURE__ */ named({
  good: 'Good',
  wrong: 'Wrong part',
  damaged: 'Damaged',
})

export const orderedBy = /* @__PURE__ */ named({
  mail: 'Email',
  message: 'Text message',
  phone: 'Phone call',
  counter: 'At the counter',
})

/** The list of what is to order, to come and to send back. */
export const orders = {
  toOrder: 'To order',
  toOrderTitle: 'Parts to order',
  noneToOrder: 'Nothing to order',
  noSupplier: 'No supplier yet',
  parts: (count: number) => counted(count, 'part', 'parts'),
  orderBy: (day: string) => `order by ${day}`,
  orderToday: 'order today',
  underWay: 'Under way',
  finished: 'Finished lately',
  none: 'Nothing to order and nothing to come',
  noneHint: 'Parts that a job needs show up here.',
  arrived: 'Record what came',
  came: (count: number, of: number) => `${count} of ${of} here`,
  promised: (day: string) => `promised ${day}`,
  late: (day: string) => `promised ${day}, late`,
  returns: 'To send back and to get back',
  returnsRow: 'Returns',
  returnsCount: (toSend: number, owed: number) =>
    [toSend && `${toSend} to send`, owed && `${owed} to be refunded`].filter(Boolean).join(', '),
}

export const orderParts = {
  title: 'Put on an order',
  supplier: 'Supplier',
  missingSupplier: 'Choose a supplier',
  newSupplier: 'New supplier',
  newName: 'Name of the new supplier',
  missingName: 'Enter the supplier’s name',
  which: 'Parts',
  missing: 'Choose at least one part',
  save: 'Put on the order',
  for: (job: string) => `for ${job}`,
  forShelf: 'for the shelf, below its minimum',
}

export const order = {
  sent: 'Sent',
  notSent: 'Not sent',
  notSentHint:
    'The email with this order did not go out; the reason is below. Send it another way: from your own mail, as a text message, or as a PDF or CSV. Then say “I sent it” at the message.',
  asMessage: 'Write the text message',
  sentHow: (how: string, when: string) => `${how}, ${when}`,
  promised: 'Promised for',
  note: 'Note to the supplier',
  bill: 'Supplier’s bill',
  billText: (number: string, amount: string) => [number, amount].filter(Boolean).join(', '),
  billDue: 'Due',
  billPaid: 'Paid',
  received: 'Received so far',
  lines: 'Parts',
  empty: 'No parts on it yet',
  each: (price: string) => `${price} each`,
  open: (count: string) => `${count} to come`,
  here: 'Here',
  add: 'Add a part',
  send: 'Send this order',
  edit: 'Promised day, note, bill',
  arrived: 'Record what came',
  csv: 'Save as a table (CSV)',
  confirmAll: 'All confirmed',
  confirmedAll: 'All lines confirmed',
  close: 'Give up the rest',
  closed: 'Closed. What didn’t come is wanted again.',
  cancel: 'Cancel this order',
  cancelled: 'Order cancelled. Its parts are wanted again.',
  print: 'Make the PDF',
  openPdf: 'Open the PDF',
  printSignal: 'The PDF is made once you have signal.',
  columns: ['Order', 'Number', 'Description', 'Quantity', 'Price each'],
}

export const orderForm = {
  title: 'Order',
  promised: 'Promised for',
  note: 'Note to the supplier',
  billNumber: 'Number of their bill',
  billAmount: 'Amount of their bill',
  billDue: 'Bill due on',
  billPaid: 'Bill paid on',
  save: 'Save',
}

export const sending = {
  title: 'Send the order',
  how: 'How it goes out',
  hints: {
    mail: 'Sent from here as an email',
    ownMail: 'No mail is set up here: opens your own mail program',
    message: 'Opens a text message on this phone',
    phone: 'You call and read it out',
    counter: 'You hand it over or buy it there',
  },
  address: 'Email address',
  missingAddress: 'Enter the supplier’s email address',
  text: 'What it says',
  noMail:
    'No mail is set up here, so this order can’t go out from here. Write it in your own mail program or as a text message, or send it as a PDF or CSV: both are on the order. Then mark it as sent.',
  openMail: 'Write the email',
  openMessage: 'Write the text message',
  call: 'Call',
  mailHint: 'Goes out once you have signal',
  saveMail: 'Send by email',
  save: 'Mark as sent',
  saved: 'Order sent',
  savedMail: 'Order goes out by email',
}

export const lineForm = {
  newTitle: 'Add a part',
  title: 'Part on the order',
  number: 'Part number',
  description: 'Description',
  missing: 'Enter a number or a description',
  quantity: 'How many',
  badQuantity: 'Enter how many, more than 0',
  cost: 'Price each',
  core: 'Core charge each',
  coreHint: 'Paid back when the old part goes back',
  save: 'Save',
  remove: 'Take off the order',
  removed: 'Taken off the order',
}

export const answerForm = {
  title: 'What the supplier says',
  answer: 'Answer',
  promised: 'Promised for',
  cost: 'Price each',
  save: 'Save answer',
  arrival: 'Record what came',
  sendBack: 'Send some back',
  came: 'What came',
  undo: 'It didn’t come',
  undone: 'Taken out again',
  job: 'For job',
  agreed: (price: string) =>
    `The customer agreed to ${price} each. This costs more: check the price before fitting.`,
}

export const arrivals = {
  title: 'What came',
  find: 'Part number, description or order',
  findHint: 'Type some of it, or scan the code on the box',
  scan: 'Scan a code',
  stop: 'Stop scanning',
  none: 'Nothing is to come',
  noMatch: (text: string) => `Nothing to come matches “${text}”`,
  all: 'All of it came',
  allSaved: (count: number) => `${counted(count, 'line', 'lines')} recorded`,
}

export const arrivalForm = {
  title: 'What came',
  ordered: (count: string, open: string) => `${count} ordered, ${open} to come`,
  quantity: 'How many came',
  badQuantity: 'Enter how many, more than 0',
  more: 'That is more than was ordered.',
  condition: 'Condition',
  cost: 'Paid for each',
  note: 'Note',
  place: 'Put on the shelf',
  noPlace: 'Not in stock',
  sendBack: 'Goes back to the supplier',
  sendBackHint: 'Puts it on the list of returns',
  save: 'Save',
  saved: 'Arrival recorded',
}

export const returns = {
  title: 'Returns',
  none: 'Nothing to send back',
  noneHint: 'Wrong and damaged parts and old cores show up here.',
  cores: 'Old parts for their core charge',
  toSend: 'To send',
  toBeRefunded: 'To be refunded',
  owed: (amount: string) => `${amount} to get back`,
  reasons: /* @__PURE__ */ named({
    wrong: 'Wrong part',
    damaged: 'Damaged',
    not_needed: 'Not needed',
    core: 'Old core',
    warranty: 'Warranty',
  }),
  states: /* @__PURE__ */ named({
    to_send: 'To send',
    sent: 'Sent back',
    refunded: 'Settled',
    refused: 'Refused',
  }),
}

export const returnForm = {
  newTitle: 'Part to send back',
  title: 'Return',
  reason: 'Reason',
  quantity: 'How many',
  badQuantity: 'Enter how many, more than 0',
  expected: 'Refund expected, in all',
  note: 'Note',
  save: 'Save',
  remove: 'Delete this return',
  removed: 'Return deleted',
}

export const returnView = {
  supplier: 'Supplier',
  reason: 'Reason',
  sent: 'Sent on',
  expected: 'Refund expected',
  refunded: 'Refunded so far',
  owed: 'Still to get back',
  sendNow: 'Sent back today',
  sentSaved: 'Marked as sent back',
  refund: 'Enter a refund',
  refused: 'They refused it',
  refusedSaved: 'Marked as refused',
  edit: 'Edit',
}

export const refundForm = {
  title: 'Refund',
  amount: 'Amount',
  amountHint: 'To correct an amount, enter the difference with a minus',
  day: 'Refunded on',
  missingDay: 'Enter the day',
  rest: 'No more will come of this',
  save: 'Save refund',
}

/** The table of orders at the desk. */
export const orderTable = {
  title: 'Orders',
  number: 'Order',
  supplier: 'Supplier',
  state: 'State',
  parts: 'Parts',
  toCome: 'To come',
  sent: 'Sent',
  promised: 'Promised',
  late: (days: number) => `${counted(days, 'day', 'days')} late`,
  ordered: 'Ordered',
  received: 'Received',
  bill: 'Bill',
  billAmount: 'Bill amount',
  due: 'Due',
  paid: 'Paid',
  open: 'Open',
  draft: 'Drafts',
  lateView: 'Late',
  toPay: 'To pay',
  paidView: 'Paid bills',
  all: 'All',
}
