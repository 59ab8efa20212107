import type { TimeEntry } from '../../../domain/rows'
import { type Day, dayIn } from '../../../domain/time'
import { en } from '../../../domain/words'
import { firstOfWeek } from '../../../domain/worked'
import { shop } from '../../../store/shop'
import { ownTime } from '../../../store/time'
import { Part } from '../../components/Part'
import { Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { figures, today, zone } from '../../shopFigures'
import { useNow } from '../../ticking'
import { Sheet } from '../Sheet'
import { minutesOf, spanWords, workWords } from './about'

const its = en.clock

/** One's own week, the latest day first; each entry leads to where it is put right or settled. */
export function MyTime() {
  const now = useNow()
  const begins = firstOfWeek(today(), shop.value?.week_start ?? 'monday')
  const days = new Map<Day, TimeEntry[]>()
  for (const row of ownTime.value.toReversed()) {
    const day = dayIn(zone.value, Date.parse(row.started_at))
    // What is not settled is shown however old it is.
    if (day >= begins || row.state === 'disputed') days.set(day, [...(days.get(day) ?? []), row])
  }
  const sum = (rows: readonly TimeEntry[]) =>
    rows.reduce((all, row) => all + (row.state === 'disputed' ? 0 : minutesOf(row, now)), 0)
  return (
    <Sheet
      title={its.myTime}
      under={its.weekTotal(sum([...days].flatMap(([day, rows]) => (day >= begins ? rows : []))))}
      back={{ at: 'today' }}
      dock={<Slab words={its.addByHand} to={{ at: 'add-time' }} />}
    >
      {days.size === 0 && (
        <div class="blank">
          <b>{its.noTime}</b>
          <p>{its.noTimeHint}</p>
        </div>
      )}
      {[...days].map(([day, rows]) => (
        <Part
          key={day}
          title={its.dayTotal(day === today() ? its.today : figures.value.weekday(day), sum(rows))}
        >
          <Rows items={rows} keyOf={(row) => row.id} empty="">
            {(row) => (
              <Row
                to={{ at: row.state === 'disputed' ? 'time-settle' : 'time-fix', id: row.id }}
                lead={workWords(row)}
                figure={its.length(minutesOf(row, now))}
                also={en.app.joined([spanWords(row), ...remarks(row)])}
              />
            )}
          </Rows>
        </Part>
      ))}
      <Row lead={en.hours.reports.title} also={en.settings.hoursHint} to={{ at: 'reports' }} />
    </Sheet>
  )
}

/** What should be known of an entry besides its span. */
function remarks(row: TimeEntry): string[] {
  const skew = row.start_skew_ms || row.end_skew_ms
  return [
    row.state === 'disputed' ? its.disputed : '',
    row.cause && its.causes[row.cause],
    row.reason && (row.corrects_id === null ? its.byHand(row.reason) : its.corrected(row.reason)),
    skew === 0 ? '' : its.repaired(Math.round(skew / 60_000)),
  ].filter(Boolean)
}
