import type { TimeEntry } from '../../../domain/rows'
import type { Day } from '../../../domain/time'
import { type Listed, listed } from '../../../domain/timesheet'
import { en } from '../../../domain/words'
import { daysFrom, firstOfWeek } from '../../../domain/worked'
import { seesAll } from '../../../store/hours'
import { opened } from '../../../store/opened'
import { members, shop } from '../../../store/shop'
import { entriesOf, ownTime } from '../../../store/time'
import { Select } from '../../components/Field'
import { Part } from '../../components/Part'
import { Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { goTo } from '../../router'
import { figures, today, zone } from '../../shopFigures'
import { useNow } from '../../ticking'
import { memberName } from '../hours/week'
import { Sheet } from '../Sheet'
import { beganBy, listOf, minutesOf, spanWords, workWords } from './about'

const its = en.clock

export interface Props {
  memberId?: string | undefined
}

/**
 * One's own week, the latest day first; each entry leads to where it is put right or settled. Who corrects the time of
 * others picks whose week it is.
 */
export function MyTime({ memberId }: Props) {
  const now = useNow()
  const begins = firstOfWeek(today(), shop.value?.week_start ?? 'monday')
  const me = opened.value?.who.member_id ?? ''
  const theirs = memberId !== undefined && memberId !== me && seesAll() ? memberId : null
  const rows = theirs === null ? ownTime.value : entriesOf(theirs)
  const week = daysFrom(begins, 7, zone.value)
  const all = listed(rows, week, { zone: zone.value, now, began: beganBy })
  const days = new Map<Day, Listed[]>()
  for (const each of all) days.set(each.on, [...(days.get(each.on) ?? []), each])
  const others = members.value.filter(({ id }) => id !== me)
  return (
    <Sheet
      title={theirs === null ? its.myTime : its.timeOf(memberName(theirs))}
      under={its.weekTotal(minutesIn(all))}
      back={{ at: 'today' }}
      dock={
        <Slab
          words={its.addByHand}
          to={theirs === null ? { at: 'add-time' } : { at: 'add-time', memberId: theirs }}
        />
      }
    >
      {seesAll() && others.length > 0 && (
        <Select
          label={its.whose}
          value={theirs ?? me}
          options={[[me, its.myTime], ...others.map(({ id, name }) => [id, name] as const)]}
          onValue={(id) => goTo(listOf(id), { instead: true })}
        />
      )}
      {days.size === 0 && (
        <div class="blank">
          <b>{its.noTime}</b>
          <p>{its.noTimeHint}</p>
        </div>
      )}
      {[...days].map(([day, parts]) => (
        <Part
          key={day}
          title={its.dayTotal(day === today() ? its.today : figures.value.weekday(day), minutesIn(parts))}
        >
          <Rows items={parts} keyOf={({ row }) => row.id} empty="">
            {({ row, started_at, ended_at, seconds }) => (
              <Row
                to={{ at: row.state === 'disputed' ? 'time-settle' : 'time-fix', id: row.id }}
                lead={workWords(row)}
                figure={its.length(seconds === null ? minutesOf(row, now) : wholeMinutes(seconds))}
                also={en.app.joined([spanWords({ ...row, started_at, ended_at }), ...remarks(row)])}
              />
            )}
          </Rows>
        </Part>
      ))}
      <Row lead={en.hours.reports.title} also={en.settings.hoursHint} to={{ at: 'reports' }} />
    </Sheet>
  )
}

const wholeMinutes = (seconds: number) => Math.floor(seconds / 60)

const minutesIn = (parts: readonly Listed[]) =>
  wholeMinutes(parts.reduce((sum, { seconds }) => sum + (seconds ?? 0), 0))

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
