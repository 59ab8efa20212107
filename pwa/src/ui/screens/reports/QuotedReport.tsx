import type { Job } from '../../../domain/contract'
import { secondsOf, splitByDay } from '../../../domain/labor/worked'
import { shownName } from '../../../domain/provisionalMarks'
import type { JobProgress } from '../../../domain/quotes/progress'
import { en } from '../../../domain/words/index'
import { machine } from '../../../store/machines'
import { endedIn, type JobHours, jobsIn, maySeeAllTime, openOrDisputedIn } from '../../../store/timeReports'
import { type Bar, BarChart } from '../../components/BarChart'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { hoursText, UnsettledEntries, useWeek, type Week, WeekButtons } from '../../features/reports/week'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

const t = en.timeReports

export function QuotedReport() {
  const week = useWeek()
  if (!week) return <NotFound />
  const jobs = jobsIn(week.days)
  return (
    <ShopPage title={t.reports.quoted} subtitle={week.words}>
      <WeekButtons week={week} />
      {jobs.map(({ job, progress }) => (
        <JobComparison key={job.id} job={job} progress={progress} />
      ))}
      {!jobs.length && <p class="empty-state">{t.noJobs}</p>}
      <WeekTotals jobs={jobs} week={week} />
      <UnsettledEntries entries={openOrDisputedIn(week.days).filter(({ job_id }) => job_id !== null)} />
      <ButtonRow stacked>
        <Button
          wide
          newTab
          label={t.table}
          hint={t.tableHint}
          href={`/api/v1/reports/quoted.csv?first=${week.first}`}
        />
      </ButtonRow>
    </ShopPage>
  )
}

/** Totals of the week's finished jobs, the same as in the server's report (`shopapi/quotes/queries/progress.py`). */
function WeekTotals({ jobs, week }: { jobs: readonly JobHours[]; week: Week }) {
  const ended = jobs.filter(({ finished }) => finished).map(({ progress }) => progress)
  const billed = ended.reduce((sum, each) => sum + each.billed, 0)
  const clocked = ended.reduce((sum, each) => sum + each.clocked, 0)
  const paid = splitByDay(endedIn(week.days), week.days).reduce((sum, part) => sum + secondsOf(part), 0)
  if (!clocked) return null
  return (
    <Section title={t.finished(ended.length)} hint={t.finishedHint}>
      <DescriptionList
        items={[
          [t.billed, hoursText(billed)],
          [t.clockedOn, hoursText(clocked)],
          [t.efficiencyName, share(billed, clocked)],
          ...(maySeeAllTime()
            ? ([
                [t.paid, hoursText(paid)],
                [t.recoveryName, paid ? share(billed, paid) : null],
              ] as const)
            : []),
        ]}
      />
      <p class="hint">{t.ratiosHint}</p>
    </Section>
  )
}

function share(part: number, whole: number): string {
  return format.value.percent(`${Math.round((1000 * part) / whole) / 10}`)
}

/** One job: each labor line with two bars, quoted and clocked. */
function JobComparison({ job, progress }: { job: Job; progress: JobProgress }) {
  const { lines, elsewhere, quoted, billed, clocked } = progress
  const kind = machine(job.machine_id)?.kind ?? ''
  const most = Math.max(elsewhere, 1, ...lines.flatMap((each) => [each.line.seconds ?? 0, each.clocked]))
  return (
    <Section title={en.app.listed([shownName(job), kind].filter(Boolean))}>
      {lines.map(({ line, clocked: spent }) => (
        <div key={line.id}>
          <p class="multiline">
            <b>{line.words}</b>
          </p>
          <BarChart title={line.words} bars={pair(line.seconds, spent)} max={most} />
          {line.seconds !== null && <p class="hint">{difference(line.seconds, spent)}</p>}
        </div>
      ))}
      {elsewhere > 0 && <ListItem title={t.elsewhere} value={hoursText(elsewhere)} />}
      <p class="multiline">{t.beside(hoursText(quoted), hoursText(clocked))}</p>
      {billed > 0 && clocked > 0 && <p class="multiline">{t.efficiency(share(billed, clocked))}</p>}
      <ListItem title={t.openJob} to={{ at: 'job', id: job.id }} />
    </Section>
  )
}

function pair(seconds: number | null, spent: number): Bar[] {
  const said = seconds === null ? t.setPrice : hoursText(seconds)
  return [
    {
      name: t.quotedBar,
      segments: seconds ? [{ pattern: 'plain', value: seconds }] : [],
      value: seconds === null ? '–' : said,
      ariaLabel: t.partLabel(t.quotedBar, said),
    },
    {
      name: t.clockedBar,
      segments: spent ? [{ pattern: 'solid', value: spent }] : [],
      value: spent ? hoursText(spent) : '–',
      ariaLabel: t.partLabel(t.clockedBar, hoursText(spent)),
    },
  ]
}

function difference(quoted: number, spent: number): string {
  if (spent === quoted) return t.even
  return spent > quoted ? t.more(hoursText(spent - quoted)) : t.less(hoursText(quoted - spent))
}
