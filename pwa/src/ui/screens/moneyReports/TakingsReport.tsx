import { en } from '../../../domain/words/index'
import { moneyReports } from '../../../domain/words/moneyReports'
import { paymentMethods } from '../../../domain/words/payments'
import { readTakings, type Takings } from '../../../store/moneyReports'
import { type Bar, BarChart } from '../../components/BarChart'
import { List, ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { PeriodReport } from './PeriodReport'

const t = moneyReports.takings

/** What was billed and taken, by month and method, with the payments behind it. */
export function TakingsReport() {
  return (
    <PeriodReport title={t.title} report="takings" read={readTakings}>
      {(answer) => (
        <>
          <Section title={t.bars}>
            {answer.months.map((month) => (
              <Month key={month.month} month={month} months={answer.months} />
            ))}
          </Section>
          <Methods {...answer} />
          <Payments payments={answer.payments} />
        </>
      )}
    </PeriodReport>
  )
}

function Month({ month, months }: { month: Takings['months'][number]; months: Takings['months'] }) {
  const { money, month: monthText } = format.value
  const most = Math.max(1, ...months.flatMap((each) => [each.billed_minor, each.taken_minor]))
  const title = monthText(`${month.month}-01`)
  const bar = (name: string, pattern: 'solid' | 'plain', minor: number): Bar => ({
    name,
    segments: minor > 0 ? [{ pattern, value: minor }] : [],
    value: money(minor),
    ariaLabel: en.app.listed([title, name, money(minor)]),
  })
  return (
    <div>
      <p class="multiline">
        <b>{title}</b>
      </p>
      <BarChart
        title={title}
        max={most}
        bars={[bar(t.billed, 'plain', month.billed_minor), bar(t.taken, 'solid', month.taken_minor)]}
      />
    </div>
  )
}

function Methods({ months, methods }: Takings) {
  const { money } = format.value
  const sum = (name: 'tips_minor' | 'tax_minor') => months.reduce((all, each) => all + each[name], 0)
  if (!methods.length) return null
  return (
    <Section title={t.methods}>
      <DescriptionList
        items={[
          ...methods.map(
            ({ method, taken_minor }) =>
              [paymentMethods[method as keyof typeof paymentMethods], money(taken_minor)] as const,
          ),
          [t.tips, sum('tips_minor') ? money(sum('tips_minor')) : null],
          [t.tax, sum('tax_minor') ? money(sum('tax_minor')) : null],
        ]}
      />
    </Section>
  )
}

function Payments({ payments }: { payments: Takings['payments'] }) {
  const { money, weekday } = format.value
  if (!payments.length) return null
  return (
    <Section title={t.payments} end={payments.length}>
      <List items={payments} keyOf={(each) => each.payment_id} empty="" most={20}>
        {(each) => (
          <ListItem
            to={each.job_id ? { at: 'job', id: each.job_id } : { at: 'invoice', id: each.invoice_id ?? '' }}
            title={en.app.joined([each.customer, each.job])}
            value={money(each.taken_minor)}
            details={en.app.joined([
              weekday(each.paid_on),
              paymentMethods[each.method as keyof typeof paymentMethods],
              each.tip_minor ? t.withTip(money(each.tip_minor)) : '',
            ])}
          />
        )}
      </List>
    </Section>
  )
}
