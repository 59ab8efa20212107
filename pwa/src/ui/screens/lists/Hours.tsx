import type { TimeEntry } from '../../../domain/contract'
import { daysFrom, startOfWeek } from '../../../domain/labor/worked'
import { dayIn } from '../../../domain/time'
import { en } from '../../../domain/words'
import { tables } from '../../../domain/words/desk'
import { allOf, follow } from '../../../store/rows/selectors'
import { shop } from '../../../store/shop'
import { ownTime } from '../../../store/timeEntries'
import { maySeeAllTime } from '../../../store/timeReports'
import type { TableOf } from '../../desk/table'
import { jobText, minutesOf, workText } from '../../features/clock/timeEntryText'
import { TablePlace } from '../../features/tables/TablePlace'
import { memberName } from '../../names'
import { format, today, zone } from '../../shopFormat'

const t = tables.hours

interface EntryLine {
  readonly entry: TimeEntry
  readonly who: string
  readonly day: string
  readonly on: string
  readonly work: string
  /** null while it is in dispute: it is in no sum. */
  readonly minutes: number | null
  readonly thisWeek: boolean
}

/** Everyone's entries for who may correct them, else the member's own. */
function entryLines(): EntryLine[] {
  follow('job', 'customer', 'quote_line', 'member')
  const entries = maySeeAllTime()
    ? allOf('time_entry').filter(({ state }) => state !== 'replaced')
    : ownTime.value
  const now = Date.now()
  const first = startOfWeek(today(), shop.value?.week_start ?? 'monday')
  const week = new Set(daysFrom(first, 7, zone.value).map(({ on }) => on))
  return entries.map((entry) => {
    const day = dayIn(zone.value, Date.parse(entry.started_at))
    return {
      entry,
      who: memberName(entry.member_id),
      day,
      on: jobText(entry.job_id),
      work: workText(entry, entry.job_id),
      minutes: entry.state === 'disputed' ? null : minutesOf(entry, now),
      thisWeek: week.has(day),
    }
  })
}

const HOURS: TableOf<EntryLine> = {
  key: 'hours',
  title: t.title,
  rows: entryLines,
  idOf: ({ entry }) => entry.id,
  to: ({ entry: { state, id } }) => ({ at: state === 'disputed' ? 'time-settle' : 'time-fix', id }),
  columns: [
    { key: 'day', label: t.day, kind: 'day', value: (line) => line.day, width: 7 },
    { key: 'who', label: t.who, value: (line) => line.who, width: 10, bold: true },
    { key: 'on', label: t.on, value: (line) => line.on, width: 13 },
    { key: 'work', label: t.work, value: (line) => line.work, width: 16 },
    { key: 'from', label: t.from, kind: 'time', value: ({ entry }) => entry.started_at, width: 5.5 },
    { key: 'to', label: t.to, kind: 'time', value: ({ entry }) => entry.ended_at, width: 5.5 },
    { key: 'hours', label: t.hours, kind: 'hours', value: (line) => line.minutes, width: 5 },
    { key: 'state', label: t.state, value: ({ entry }) => t.states[entry.state] ?? '', width: 7 },
    { key: 'reason', label: t.reason, value: ({ entry }) => entry.reason, width: 12, hidden: true },
  ],
  views: [
    { key: 'week', label: t.week, has: ({ thisWeek }) => thisWeek },
    { key: 'unsettled', label: t.unsettled, has: ({ entry }) => entry.state === 'disputed' },
    { key: 'running', label: t.running, has: ({ entry }) => entry.ended_at === null },
    { key: 'all', label: tables.all, has: () => true },
  ],
  sort: { key: 'from', down: true },
  onPhone: ({ who, work, day }) => ({
    title: who,
    details: en.app.joined([work, format.value.weekday(day)]),
  }),
  act: { label: t.addTime, to: { at: 'add-time' } },
}

/** The time clocked. */
export const Hours = () => <TablePlace table={HOURS} />
