import type { ComponentChildren } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { en } from '../../../domain/words/index'
import { moneyReports as t } from '../../../domain/words/moneyReports'
import { type DayRange, lastDays, tableOf } from '../../../store/moneyReports'
import { Button, ButtonRow } from '../../components/Button'
import { RadioGroup } from '../../components/RadioGroup'
import { ServerUnreachable, useServerAnswer } from '../../features/reports/useServerAnswer'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'

type Period = keyof typeof t.periods
const PERIODS = (['30', '90', '365'] as const).map((value) => ({ value, label: t.periods[value] }))

interface Props<Answer> {
  title: string
  /** Its name in the addresses of tables. */
  report: string
  read: (range: DayRange) => Promise<Answer | null>
  children: (answer: Answer) => ComponentChildren
}

/** A report that the server works out over a period of days, with a choice of the period and a table to save. */
export function PeriodReport<Answer>({ title, report, read, children }: Props<Answer>) {
  const [period, setPeriod] = useState<Period>('90')
  const { answer, failed, ask } = useServerAnswer(read)
  const range = lastDays(Number(period), today())
  useEffect(() => void ask(range), [period])
  const { weekday } = format.value
  return (
    <ShopPage title={title} subtitle={t.lastDays(weekday(range.first), weekday(range.last))}>
      <RadioGroup horizontal label={t.period} value={period} options={PERIODS} onValueChange={setPeriod} />
      {failed && <ServerUnreachable onRetry={() => void ask(range)} />}
      {!failed && !answer && <p class="empty-state">{en.app.loading} …</p>}
      {answer && children(answer)}
      <ButtonRow stacked>
        <Button wide newTab label={t.table} hint={t.tableHint} href={tableOf(report, range)} />
      </ButtonRow>
    </ShopPage>
  )
}
