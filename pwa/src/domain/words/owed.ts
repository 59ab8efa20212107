import { named } from '../named.ts'
import { owedMenu } from './owedMenu'
import { counted } from './plural'

/** What customers owe: by age, and the statement of one. */
export const owed = {
  title: owedMenu.title,
  buckets: /* @__PURE__ */ named({
    current: 'Not due yet',
    days_30: '1 to 30 days',
    days_60: '31 to 60',
    days_90: '61 to 90',
    over_90: 'Over 90',
    credit: 'In their favor',
  }),
  cell: (name: string, bucket: string, amount: string) => `${name}, ${bucket}: ${amount}`,
  customer: 'Customer',
  all: 'All',
  sum: 'Open',
  none: 'Nobody owes anything',
  noneHint: 'Invoices that are issued and not paid are listed here.',
  byAge: 'By age',
  byCustomer: 'By customer',
  invoices: 'Invoices',
  nothing: 'Nothing open here',
  kept: 'Paid and not used yet',
  due: (day: string) => `Due ${day}`,
  late: (days: number) => `${counted(days, 'day', 'days')} late`,
  reminded: (count: number) => `Reminded ${counted(count, 'time', 'times')}`,
  nextReminder: (stage: number, day: string) => `Reminder ${stage} goes out ${day}`,
  lastReminder: 'No reminder is left to go out',

  // Statement
  statement: 'Statement',
  statementHint: 'Invoices, credit notes, payments, balance',
  owes: (amount: string) => `Owes ${amount}`,
  inFavor: (amount: string) => `Has ${amount} with the shop`,
  even: 'Nothing is open',
  entries: 'Entries',
  noEntries: 'Nothing billed or paid yet',
  balance: (amount: string) => `then ${amount} open`,
  reversal: (kind: string) => `${kind} reversed`,
  print: 'Make the statement as a PDF',
  again: 'Make it again',
  open: 'Open the PDF',
  mail: 'Mail it',
  text: 'Text it',
  sent: 'The customer gets a link to it',
  signal: 'The server makes the PDF, so that needs signal. It goes back a year at most.',
}
