import { named } from '../named.ts'
import { counted } from './plural'

export const invoiceKinds = /* @__PURE__ */ named({ invoice: 'Invoice', credit_note: 'Credit note' })

export const invoiceStates = /* @__PURE__ */ named({
  draft: 'Draft',
  issued: 'Issued',
  cancelled: 'Credited in full',
})

/** The section of a job. */
export const jobBill = {
  title: 'Invoices',
  bill: 'Bill',
  billHint: 'Everything agreed and not billed yet',
  billMore: 'Bill something else',
  billMoreHint: 'Everything agreed is billed',
  goOn: 'Go on with the invoice',
  started: 'Draft made',
}

export const invoiceView = {
  lines: 'Lines',
  comesTo: 'Comes to',
  empty: 'Nothing on it yet',
  emptyHint: 'Everything agreed on this job is billed already. Add a line if something is missing.',
  addLine: 'Add a line',
  issue: 'Issue',
  issueHint: 'Gets its number and can’t be changed afterward',
  issued: 'Issued',
  numberLater: 'The number comes with a signal.',
  wrong: 'A line needs correcting first.',
  nothing: 'This comes to nothing. Add a line, or delete the draft.',
  beyond: (amount: string) => `${amount} more than the customer agreed to`,
  beyondHint: 'Before tax. Quote the rest and get a yes, or take lines off.',
  taxEnded: (label: string) => `Tax “${label}” isn’t in force today`,
  useTax: (label: string) => `Use “${label}”`,
  noTax: 'The price book has no tax for today. Add one first.',
  taxChanged: 'Tax changed',
  discard: 'Delete this draft',
  discarded: 'Draft deleted',
  due: 'Due',
  issuedOn: 'Issued on',
  credits: (number: string) => `Credits ${number}`,
  credit: 'Credit it',
  creditHint: 'All of it or some lines, as a draft for you to check',
  creditAgain: 'Choose the lines again',
  creditAgainHint: 'Deletes this draft and starts it over',
  creditWhole:
    'All of the invoice is credited, as it was billed. To leave something out, choose the lines again.',
  creditNotes: 'Credit notes',
  unchangeable: 'Nothing on it can be changed now. A correction is a credit note.',
  job: 'Job',
  warranty: (days: number) => `Warranty ${counted(days, 'day', 'days')}`,
  toIssue: 'To issue',
}

/** An issued invoice for other programs. */
export const invoiceFiles = {
  title: 'For the bookkeeper',
  hint: 'By EN 16931. Made by the server, so they need signal.',
  files: { ubl: 'XML file (UBL)', 'factur-x': 'PDF with the XML in it (Factur-X)' },
  noSignal: 'This needs signal. Try again when you have some.',
}

/** Choosing what of an invoice is credited. */
export const creditForm = {
  title: 'Credit note',
  what: 'What is credited',
  all: 'All of the invoice',
  some: 'Some lines',
  lines: 'Lines',
  none: 'Choose at least one line',
  count: (whole: string, words: string) => `How many of ${whole}: ${words}`,
  countHint: 'Empty: all of them',
  badCount: 'Enter a number up to how many there are',
  nothing: 'This comes to nothing. Choose other lines.',
  tooMuch: (left: string) => `Only ${left} is left to credit`,
  note: 'Why',
  total: 'Credit',
  save: 'Make the draft',
  saveHint: 'Nothing goes out before you issue it',
  made: 'Draft of a credit note made',
}

/** Sending an issued invoice or credit note. */
export const invoiceSending = {
  mail: 'Email it',
  text: 'Text it',
  sent: 'The customer gets a link to it',
  sentSoFar: 'Sent so far',
}

export const invoiceLineForm = {
  addTitle: 'Add a line',
  editTitle: 'Change the line',
  words: 'What it is for',
  missingWords: 'Say what it is for',
  kind: 'Kind',
  quantity: 'How many',
  quantityHint: 'Below zero for something taken back',
  hours: 'Hours',
  price: 'Price for one',
  fixed: 'Price for all of it',
  fixedHint: 'Empty: by the hours',
  fixedTravelHint: 'Empty: by the price book. Zero: free',
  zone: 'Zone',
  badNumber: 'Enter a number',
  more: 'More',
  moreNames: 'Discount, tax, warranty, urgency',
  priced: 'Price',
  each: 'For one',
  together: 'For all of it together',
  off: 'Discount on this line',
  offNone: 'None',
  offPercent: 'Percent',
  offAmount: 'Amount',
  badPercent: 'Enter a percentage from 0 to 100',
  tax: 'Tax',
  taxUsual: 'As the price book says for this kind',
  taxYes: 'Taxed',
  taxNo: 'Not taxed',
  warrantyDays: 'Warranty in days',
  warrantyHours: 'Warranty in hours on the meter',
  warrantyHint: 'Empty: none is stated',
  badDays: 'Enter whole days, 3650 at most',
  badHours: 'Enter hours, 10,000 at most',
  rank: 'How urgent it was',
  save: 'Save the line',
  saved: 'Line saved',
  remove: 'Take it off',
  removed: 'Line taken off',
}

export const moneyTable = {
  title: 'Money',
  invoice: 'Invoice',
  customer: 'Customer',
  job: 'Job',
  state: 'State',
  issued: 'Issued',
  due: 'Due',
  total: 'Total',
  open: 'Still open',
  openView: 'To be paid',
  kind: 'Kind',
  late: (days: number) => `${counted(days, 'day', 'days')} late`,
  drafts: 'Drafts',
  issuedView: 'Issued',
  overdue: 'Past due',
  credits: 'Credit notes',
}
