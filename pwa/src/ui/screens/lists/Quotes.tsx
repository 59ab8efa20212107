import type { Quote } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { dayIn, daysBetween } from '../../../domain/time'
import { en } from '../../../domain/words'
import { tables } from '../../../domain/words/desk'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { allOf, follow } from '../../../store/rows/selectors'
import type { TableOf } from '../../desk/table'
import { calculateQuote } from '../../features/quotes/quoteCalculation'
import { perRow } from '../../features/tables/perRow'
import { TablePlace } from '../../features/tables/TablePlace'
import { modelName } from '../../names'
import { format, today, zone } from '../../shopFormat'

const t = tables.quotes
const STATES = Object.keys(en.quote.states)
const ENDED: ReadonlySet<Quote['state']> = new Set(['decided', 'replaced', 'withdrawn'])

interface QuoteLine {
  readonly quote: Quote
  readonly job: string
  readonly customer: string
  readonly machine: string
}

function quoteLines(): QuoteLine[] {
  follow('quote_line', 'customer', 'machine', 'job')
  return allOf('quote').map((quote) => {
    const about = job(quote.job_id)
    return {
      quote,
      job: about ? shownName(about) : '',
      customer: (about && customer(about.customer_id)?.name) || en.app.noName,
      machine: modelName(about && machine(about.machine_id)),
    }
  })
}

/** The total as the quote's own screen shows it: once answered, of what was accepted. */
const total = perRow(({ quote }: QuoteLine) => {
  const { lines, sums } = calculateQuote(quote)
  return sums && lines.length ? sums.total_minor : null
})

/** Days since it ran out while the customer had it; 0 otherwise. */
const daysExpired = ({ quote: { state, valid_until } }: QuoteLine) =>
  state === 'offered' && valid_until ? Math.max(0, daysBetween(valid_until, today())) : 0

const QUOTES: TableOf<QuoteLine> = {
  key: 'quotes',
  title: en.job.quotes,
  rows: quoteLines,
  idOf: ({ quote }) => quote.id,
  to: ({ quote }) => ({ at: 'quote', id: quote.id }),
  columns: [
    { key: 'number', label: t.quote, value: ({ quote }) => shownName(quote), width: 5 },
    { key: 'customer', label: tables.jobs.customer, value: (line) => line.customer, width: 10.5, bold: true },
    { key: 'machine', label: tables.jobs.machine, value: (line) => line.machine, width: 9, spare: true },
    { key: 'job', label: tables.jobs.job, value: (line) => line.job, width: 5, spare: true },
    {
      key: 'state',
      label: t.state,
      value: ({ quote }) => en.quote.states[quote.state],
      rank: ({ quote }) => STATES.indexOf(quote.state),
      width: 13.7,
    },
    {
      key: 'until',
      label: t.until,
      kind: 'day',
      value: ({ quote }) => quote.valid_until,
      note: (line) => (daysExpired(line) ? t.expiredSince(daysExpired(line)) : ''),
      width: 7,
    },
    { key: 'total', label: t.total, kind: 'money', value: total, width: 6.5, slow: true },
    {
      key: 'sent',
      label: t.shownOn,
      kind: 'day',
      value: ({ quote }) => quote.offered_at && dayIn(zone.value, Date.parse(quote.offered_at)),
      width: 7,
      hidden: true,
    },
    {
      key: 'revision',
      label: t.revision,
      kind: 'number',
      value: ({ quote }) => quote.revision,
      width: 5,
      hidden: true,
    },
    {
      key: 'added',
      label: t.added,
      value: ({ quote }) => (quote.kind === 'added' ? tables.customers.yes : ''),
      width: 7,
      hidden: true,
    },
  ],
  views: [
    { key: 'open', label: tables.open, has: ({ quote }) => !ENDED.has(quote.state) },
    { key: 'draft', label: t.draft, has: ({ quote }) => quote.state === 'draft' },
    { key: 'out', label: t.out, has: ({ quote }) => quote.state === 'offered' },
    {
      key: 'expired',
      label: t.expired,
      has: (line) => line.quote.state === 'lapsed' || daysExpired(line) > 0,
    },
    { key: 'decided', label: t.decided, has: ({ quote }) => quote.state === 'decided' },
    { key: 'all', label: tables.all, has: () => true },
  ],
  sort: { key: 'number', down: true },
  onPhone: (line) => {
    const minor = total(line)
    return {
      title: line.customer,
      details: en.app.joined([shownName(line.quote), en.quote.states[line.quote.state]]),
      ...(minor !== null && { value: format.value.money(minor) }),
    }
  },
}

/** All quotes. */
export const Quotes = () => <TablePlace table={QUOTES} />
