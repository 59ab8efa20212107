import type { Job } from '../../domain/contract'
import { shownName } from '../../domain/provisionalMarks'
import { daysBetween } from '../../domain/time'
import { en } from '../../domain/words'
import { tables } from '../../domain/words/desk'
import { customer, site } from '../../store/customers'
import { isFinished } from '../../store/jobs'
import { machine } from '../../store/machines'
import { quotesOf } from '../../store/quotes'
import { allOf, follow } from '../../store/rows/selectors'
import { ownTime } from '../../store/timeEntries'
import { jobFigures } from '../features/jobs/jobFigures'
import { isPastDue } from '../features/jobs/jobSections'
import { perRow } from '../features/tables/perRow'
import { modelName } from '../names'
import { dayOf, today } from '../shopFormat'
import type { TableOf } from './table'

const t = tables.jobs
/** In the order of a job. */
const STAGES = Object.keys(en.stages)

interface JobLine {
  readonly job: Job
  readonly customer: string
  readonly phone: string
  readonly machine: string
  readonly kind: string
  readonly open: boolean
  readonly late: boolean
  readonly mine: boolean
}

function jobLines(): JobLine[] {
  follow('quote', 'quote_line', 'time_entry', 'price_book')
  const now = today()
  const mine = new Set(ownTime.value.map(({ job_id }) => job_id))
  return allOf('job').map((job) => {
    const who = customer(job.customer_id)
    const what = machine(job.machine_id)
    const open = !isFinished(job)
    return {
      job,
      customer: who?.name || en.app.noName,
      phone: who?.phone ?? '',
      machine: modelName(what),
      kind: what?.kind ?? '',
      open,
      late: open && isPastDue(job, now),
      mine: open && mine.has(job.id),
    }
  })
}

const figures = perRow(({ job }: JobLine) => jobFigures(job.id, Date.now()))

const hoursLeft = (line: JobLine) => {
  const found = figures(line)
  return found && found.quoted - found.clocked
}

/** All jobs. */
export const JOBS: TableOf<JobLine> = {
  key: 'jobs',
  title: en.jobs.title,
  rows: jobLines,
  idOf: ({ job }) => job.id,
  to: ({ job }) => ({ at: 'job', id: job.id }),
  columns: [
    { key: 'number', label: t.job, value: ({ job }) => shownName(job), width: 5 },
    { key: 'customer', label: t.customer, value: (line) => line.customer, width: 10.2, bold: true },
    { key: 'machine', label: t.machine, value: (line) => line.machine, width: 9.4, spare: true },
    {
      key: 'stage',
      label: t.stage,
      value: ({ job }) => en.stages[job.stage],
      rank: ({ job }) => STAGES.indexOf(job.stage),
      width: 7,
    },
    {
      key: 'waits',
      label: t.waiting,
      value: ({ job }) => en.app.listed(job.waits_on.map((what) => tables.waits[what])),
      width: 6,
      spare: true,
    },
    {
      key: 'due',
      label: t.due,
      kind: 'day',
      value: ({ job }) => job.promised_on,
      note: ({ job, late }) =>
        late && job.promised_on ? tables.daysLate(daysBetween(job.promised_on, today())) : '',
      width: 11.4,
    },
    {
      key: 'left',
      label: t.hoursLeft,
      kind: 'hours',
      value: hoursLeft,
      note: (line) => ((hoursLeft(line) ?? 0) < 0 ? tables.over : ''),
      none: ({ job: { id } }) =>
        quotesOf(id).some(({ state }) => state !== 'withdrawn') ? tables.notApproved : tables.notQuoted,
      width: 6.6,
      slow: true,
    },
    {
      key: 'approved',
      label: t.approved,
      kind: 'money',
      value: (line) => figures(line)?.approved ?? null,
      width: 6,
      hidden: true,
      slow: true,
    },
    {
      key: 'clocked',
      label: t.clocked,
      kind: 'hours',
      value: (line) => figures(line)?.clocked ?? null,
      width: 5,
      hidden: true,
      slow: true,
    },
    {
      key: 'urgency',
      label: en.fieldNames['urgency'] ?? '',
      value: ({ job }) => (job.urgency === 'usual' ? '' : en.urgencies[job.urgency]),
      width: 9,
      hidden: true,
    },
    {
      key: 'opened',
      label: t.opened,
      kind: 'day',
      value: ({ job }) => dayOf(job.opened_at),
      width: 7,
      hidden: true,
    },
    { key: 'kind', label: en.machine.fields.kind, value: (line) => line.kind, width: 8, hidden: true },
    { key: 'phone', label: t.phone, value: (line) => line.phone, width: 9.5, hidden: true },
    {
      key: 'place',
      label: t.place,
      value: ({ job }) => (job.site_id === null ? en.job.atShop : (site(job.site_id)?.label ?? '')),
      width: 9,
      hidden: true,
    },
    { key: 'notes', label: t.notes, value: ({ job }) => job.notes, width: 14, hidden: true },
  ],
  views: [
    { key: 'open', label: en.jobs.views.open, has: ({ open }) => open },
    { key: 'mine', label: t.mine, has: ({ mine }) => mine },
    { key: 'late', label: en.jobs.views.late, has: ({ late }) => late },
    { key: 'waiting', label: en.jobs.views.waiting, has: ({ open, job }) => open && job.waits_on.length > 0 },
    { key: 'ready', label: en.jobs.views.ready, has: ({ job }) => job.stage === 'ready' },
    { key: 'all', label: tables.all, has: () => true },
  ],
  sort: { key: 'due' },
  onPhone: ({ job, customer: title }) => ({ title, value: shownName(job) }),
  act: { label: en.today.newJob, to: { at: 'new-job' }, keys: 'n' },
}
