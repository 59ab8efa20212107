/** Words of closing a day at the desk, loaded with its screen. */
export const dayClose = {
  title: 'Close a day',
  hint: 'Count what is there, then close the books of the day.',
  day: 'Day',
  expected: 'In the books',
  inDrawer: 'In the drawer, without the float',
  counted: 'Counted',
  even: 'As expected',
  over: (amount: string) => `${amount} too much`,
  short: (amount: string) => `${amount} too little`,
  why: 'What explains the difference',
  whyHint: '“Not known” is an answer, too.',
  missingWhy: 'Write what explains the difference, or that it is not known.',
  missing: 'Count it, or enter 0.',
  badAmount: 'Enter an amount.',
  dayAhead: 'Choose today or an earlier day.',
  closedBefore: (day: string) => `The books are closed before. Choose ${day} or later.`,
  after:
    'After that, nothing can be billed or paid on this day or before. Payments that another phone took and has not sent yet are then held for you to settle.',
  save: 'Close the day',
  saved: 'Day closed',
}
