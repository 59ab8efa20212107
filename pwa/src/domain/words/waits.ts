import { counted } from './plural'

// Words of the office's Today: who waits on whom, who works on what, today's runs, and money that waits for a yes.

export const waits = {
  title: 'Waiting',
  columns: { customers: 'On customers', us: 'On us', others: 'On others' },
  none: { customers: 'No customer has to answer', us: 'Nothing waits on the shop', others: 'Nothing else' },
  reasons: {
    quote: 'answer to the quote',
    quotes: (count: number) => `${counted(count, 'quote', 'quotes')} unanswered`,
    safetyAnswer: 'answer on a safety repair',
    collect: 'ready: to be picked up',
    bring: 'ready: to deliver',
    safetyQuote: 'safety repair to quote',
    safetyRepair: 'safety repair approved: do it and record that it works',
    safetyKnown: 'safety repair declined: record that they know',
    question: 'asked about the quote',
    issue: 'two entries to settle',
    time: 'time to settle',
    noPosition: 'stop without a position',
    stop: 'stop to plan',
    parts: 'parts',
    order: 'parts to order',
  },
  /** How long it has waited. */
  days: (count: number) => (count === 0 ? 'today' : counted(count, 'day', 'days')),
  late: (count: number) => counted(count, 'day late', 'days late'),
  clocks: 'On the clock',
  noClocks: 'Nobody is clocked in',
  runs: 'Runs today',
  noRuns: 'No runs today',
  money: 'Waiting for a yes',
  quotes: (count: number) => counted(count, 'quote', 'quotes'),
  oldest: (days: string) => `oldest ${days}`,
}
