import { shownName } from '../../../domain/marks'
import type { JobProgress } from '../../../domain/progress'
import type { Job } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { byDay, secondsOf } from '../../../domain/worked'
import { apartIn, endedIn, jobsIn, seesAll, type WorkedOn } from '../../../store/hours'
import { machine } from '../../../store/machines'
import { type Bar, Bars } from '../../components/Bars'
import { Facts, Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row } from '../../components/Rows'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { Apart, hoursTold, OtherWeeks, useWeek, type Week } from './week'

const its = en.hours

export function QuotedClocked() {
  const week = useWeek()
  if (!week) return <Nowhere back={{ at: 'reports' }} />
  const jobs = jobsIn(week.days)
  return (
    <Sheet title={its.reports.quoted} under={week.words} back={{ at: 'reports' }}>
      <OtherWeeks week={week} />
      {jobs.map(({ job, progress }) => (
        <Beside key={job.id} job={job} progress={progress} />
      ))}
      {!jobs.length && <p class="blank">{its.noJobs}</p>}
      <Ratios jobs={jobs} week={week} />
      <Apart entries={apartIn(week.days).filter(({ job_id }) => job_id !== null)} />
      <Keys tall>
        <Key
          wide
          opens
          words={its.table}
          hint={its.tableHint}
          href={`/api/v1/reports/quoted.csv?first=${week.first}`}
        />
      </Keys>
    </Sheet>
  )
}

/** What the week's finished jobs brought, as the server's report has it (`shopapi/quotes/queries/progress.py`). */
function Ratios({ jobs, week }: { jobs: readonly WorkedOn[]; week: Week }) {
  const ended = jobs.filter(({ finished }) => finished).map(({ progress }) => progress)
  const billed = ended.reduce((sum, each) => sum + each.billed, 0)
  const clocked = ended.reduce((sum, each) => sum + each.clocked, 0)
  const paid = byDay(endedIn(week.days), week.days).reduce((sum, part) => sum + secondsOf(part), 0)
  if (!clocked) return null
  return (
    <Part title={its.finished(ended.length)} hint={its.finishedHint}>
      <Facts
        facts={[
          [its.billed, hoursTold(billed)],
          [its.clockedOn, hoursTold(clocked)],
          [its.efficiencyName, share(billed, clocked)],
          ...(seesAll()
            ? ([
                [its.paid, hoursTold(paid)],
                [its.recoveryName, paid ? share(billed, paid) : null],
              ] as const)
            : []),
        ]}
      />
      <p class="hint">{its.ratiosHint}</p>
    </Part>
  )
}

function share(part: number, whole: number): string {
  return figures.value.percent(`${Math.round((1000 * part) / whole) / 10}`)
}

/** One job whole: each line of labor with its two bars. */
function Beside({ job, progress }: { job: Job; progress: JobProgress }) {
  const { lines, elsewhere, quoted, billed, clocked } = progress
  const kind = machine(job.machine_id)?.kind ?? ''
  const most = Math.max(elsewhere, 1, ...lines.flatMap((each) => [each.line.seconds ?? 0, each.clocked]))
  return (
    <Part title={en.app.listed([shownName(job), kind].filter(Boolean))}>
      {lines.map(({ line, clocked: spent }) => (
        <div key={line.id}>
          <p class="lines">
            <b>{line.words}</b>
          </p>
          <Bars title={line.words} bars={pair(line.seconds, spent)} most={most} />
          {line.seconds !== null && <p class="hint">{difference(line.seconds, spent)}</p>}
        </div>
      ))}
      {elsewhere > 0 && <Row lead={its.elsewhere} figure={hoursTold(elsewhere)} />}
      <p class="lines">{its.beside(hoursTold(quoted), hoursTold(clocked))}</p>
      {billed > 0 && clocked > 0 && <p class="lines">{its.efficiency(share(billed, clocked))}</p>}
      <Row lead={its.openJob} to={{ at: 'job', id: job.id }} />
    </Part>
  )
}

function pair(seconds: number | null, spent: number): Bar[] {
  const said = seconds === null ? its.setPrice : hoursTold(seconds)
  return [
    {
      name: its.quotedBar,
      parts: seconds ? [{ ink: 'plain', value: seconds }] : [],
      figure: seconds === null ? '–' : said,
      told: its.partTold(its.quotedBar, said),
    },
    {
      name: its.clockedBar,
      parts: spent ? [{ ink: 'solid', value: spent }] : [],
      figure: spent ? hoursTold(spent) : '–',
      told: its.partTold(its.clockedBar, hoursTold(spent)),
    },
  ]
}

function difference(quoted: number, spent: number): string {
  if (spent === quoted) return its.even
  return spent > quoted ? its.more(hoursTold(spent - quoted)) : its.less(hoursTold(quoted - spent))
}
