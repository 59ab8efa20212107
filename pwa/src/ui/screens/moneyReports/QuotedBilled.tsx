import { en } from '../../../domain/words/index'
import { moneyReports } from '../../../domain/words/moneyReports'
import { type QuotedBilled as Report, readQuotedBilled } from '../../../store/moneyReports'
import { List, ListItem, OpeningItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { hoursText } from '../../features/reports/week'
import { format } from '../../shopFormat'
import { PeriodReport } from './PeriodReport'

const t = moneyReports.quotedBilled
type Row = Report['jobs'][number]

/** Quoted against billed, and hours billed against hours clocked; each job opens its quotes and invoices. */
export function QuotedBilled() {
  return (
    <PeriodReport title={t.title} report="quoted-billed" read={readQuotedBilled}>
      {({ whole, jobs }) =>
        jobs.length ? (
          <>
            <Whole whole={whole} />
            <p class="hint">{t.how}</p>
            <Section title={t.jobs} end={jobs.length}>
              <List items={jobs} keyOf={(each) => each.job_id} empty="" most={20}>
                {(each) => <Job row={each} />}
              </List>
            </Section>
          </>
        ) : (
          <p class="empty-state">{moneyReports.empty}</p>
        )
      }
    </PeriodReport>
  )
}

function Whole({ whole }: { whole: Report['whole'] }) {
  const { money, percent } = format.value
  const share = (text: string | null) => text !== null && percent(text)
  return (
    <Section title={t.whole} end={whole.jobs}>
      <DescriptionList
        items={[
          [t.quoted, money(whole.quoted_minor)],
          [t.billed, money(whole.billed_minor)],
          [t.difference, signed(whole.difference_minor)],
          [t.billedHours, hoursText(whole.billed_seconds)],
          [t.clockedHours, hoursText(whole.clocked_seconds)],
          [t.efficiency, share(whole.efficiency_percent)],
          [t.allHours, whole.paid_seconds !== null && hoursText(whole.paid_seconds)],
          [t.recovery, share(whole.recovery_percent)],
        ]}
      />
    </Section>
  )
}

/** What was billed more or less than quoted, in words. */
function signed(minor: number): string {
  const { money } = format.value
  if (minor === 0) return t.asQuoted
  return minor > 0 ? t.more(money(minor)) : t.less(money(-minor))
}

function Job({ row }: { row: Row }) {
  const { money, percent } = format.value
  return (
    <OpeningItem
      title={en.app.joined([row.job, row.kind])}
      value={money(row.billed_minor)}
      details={en.app.joined([
        signed(row.difference_minor),
        t.hours(hoursText(row.billed_seconds), hoursText(row.clocked_seconds)),
        row.efficiency_percent === null ? '' : percent(row.efficiency_percent),
      ])}
    >
      {row.quotes.map((quote) => (
        <ListItem
          key={quote.quote_id}
          to={{ at: 'quote', id: quote.quote_id }}
          title={en.app.joined([t.quote, quote.number])}
          value={money(quote.quoted_minor)}
          details={quote.quoted_seconds ? hoursText(quote.quoted_seconds) : ''}
        />
      ))}
      {row.invoices.map((invoice) => (
        <ListItem
          key={invoice.invoice_id}
          to={{ at: 'invoice', id: invoice.invoice_id }}
          title={en.app.joined([invoice.billed_minor < 0 ? t.creditNote : t.invoice, invoice.number])}
          value={money(invoice.billed_minor)}
          details={invoice.billed_seconds ? hoursText(invoice.billed_seconds) : ''}
        />
      ))}
      <ListItem
        to={{ at: 'job', id: row.job_id }}
        title={en.job.open}
        value={hoursText(row.clocked_seconds)}
      />
    </OpeningItem>
  )
}
