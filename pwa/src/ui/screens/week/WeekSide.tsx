import type { TimeEntry } from '../../../domain/contract'
import { overlap } from '../../../domain/labor/clock'
import { en } from '../../../domain/words'
import { week as t } from '../../../domain/words/week'
import { shop } from '../../../store/shop'
import { entriesOf, overlapping } from '../../../store/timeEntries'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { isOwn, jobText, minutesOf, spanText, workText } from '../../features/clock/timeEntryText'
import { memberName } from '../../names'
import { format } from '../../shopFormat'
import { useNow } from '../../useNow'
import type { WeekBoard } from './useWeekBoard'

const lengthOf = (seconds: number) => en.clockFace.running(Math.floor(seconds / 60))

/** Beside the week: the entries of the chosen day, the member's sums, and what has to be sorted out. */
export function WeekSide({ board }: { board: WeekBoard }) {
  const { row } = board
  const limit = Number(shop.value?.overtime_after_hours ?? 40)
  const share = row.seconds > 0 ? Math.round((100 * row.on_jobs) / row.seconds) : 0
  return (
    <aside class="board-side" aria-label={t.member(memberName(row.member_id))}>
      <DayEntries board={board} />
      <Section title={t.member(memberName(row.member_id))}>
        <DescriptionList
          items={[
            [t.worked, lengthOf(row.seconds)],
            [t.onJobs, lengthOf(row.on_jobs)],
            [t.rework, lengthOf(row.rework)],
            [t.over(format.value.number(`${limit}`)), lengthOf(Math.max(0, row.seconds - limit * 3600))],
            [t.share, format.value.percent(`${share}`)],
          ]}
        />
      </Section>
      <Unsettled board={board} />
    </aside>
  )
}

function DayEntries({ board: { row, cell, days } }: { board: WeekBoard }) {
  const now = useNow()
  const day = days.find(({ on }) => on === cell.on)
  const entries = entriesOf(row.member_id).filter((entry) => {
    const from = Date.parse(entry.started_at)
    return day && from < day.ends && (entry.ended_at === null || Date.parse(entry.ended_at) > day.begins)
  })
  const to = isOwn(row.member_id) ? {} : { memberId: row.member_id }
  return (
    <section class="section" aria-labelledby="week-day">
      <h2 id="week-day" tabIndex={-1}>
        {t.cell(memberName(row.member_id), format.value.weekday(cell.on))}
      </h2>
      {entries.length === 0 && <p>{t.noneOfDay}</p>}
      {entries.map((entry) => (
        <ListItem
          key={entry.id}
          to={{ at: entry.state === 'disputed' ? 'time-settle' : 'time-fix', id: entry.id }}
          title={workText(entry)}
          value={en.clockFace.running(minutesOf(entry, now))}
          details={en.app.joined([spanText(entry), ...remarksOf(entry)])}
        />
      ))}
      <ButtonRow>
        <Button label={t.addByHand} to={{ at: 'add-time', ...to }} />
      </ButtonRow>
    </section>
  )
}

/** What is to be said of an entry besides its times. */
function remarksOf(entry: TimeEntry): string[] {
  return [
    entry.state === 'disputed' ? en.clock.disputed : '',
    entry.reason &&
      (entry.corrects_id === null ? en.clock.byHand(entry.reason) : en.clock.corrected(entry.reason)),
  ].filter(Boolean)
}

function Unsettled({ board: { rows } }: { board: WeekBoard }) {
  const entries = rows
    .flatMap(({ cells }) => cells.flatMap(({ unsettled }) => unsettled))
    .sort((a, b) => Date.parse(a.started_at) - Date.parse(b.started_at))
  // Both sides of an overlap are one matter: it is listed once, and settled on one screen.
  const listed = entries.filter(
    (entry, at) =>
      entry.anomaly !== '' ||
      !entries.slice(0, at).some((other) => other.member_id === entry.member_id && overlap(other, entry)),
  )
  if (listed.length === 0) return null
  return (
    <Section title={t.unsettled} end={listed.length}>
      {listed.map((entry) => (
        <ListItem
          key={entry.id}
          to={{ at: 'time-settle', id: entry.id }}
          title={en.app.listed([memberName(entry.member_id), format.value.moment(entry.started_at)])}
          details={doubtOf(entry)}
        />
      ))}
    </Section>
  )
}

/** Why an entry has to be settled: what is wrong with it by itself, or what it overlaps. */
function doubtOf(entry: TimeEntry): string {
  if (entry.anomaly !== '') return en.clock.anomalies[entry.anomaly]
  const others = overlapping(entry).map(
    (other) => `${jobText(other.job_id) || en.clockFace.kinds[other.kind]} ${spanText(other)}`,
  )
  const own = `${workText(entry)} ${spanText(entry)}`
  return [`${t.twice}: ${own}.`, others.length > 0 ? t.twiceOf(en.app.listed(others)) : ''].join(' ').trim()
}
