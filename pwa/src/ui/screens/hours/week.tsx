import { useSignal } from '@preact/signals'
import type { TimeEntry } from '../../../domain/rows'
import { type Day, daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { daysFrom, firstOfWeek, type ShopDay } from '../../../domain/worked'
import { members, shop } from '../../../store/shop'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row } from '../../components/Rows'
import { hoursOf } from '../../hours'
import { figures, today } from '../../shopFigures'

const its = en.hours

export interface Week {
  first: Day
  days: ShopDay[]
  /** "Mon, Nov 23 to Sun, Nov 29" */
  words: string
  go: (weeks: number) => void
}

/** The shop's week in sight, the present one at first. */
export function useWeek(): Week | null {
  const at = useSignal(today())
  const row = shop.value
  if (!row) return null
  const first = firstOfWeek(at.value, row.week_start)
  const words = its.span(figures.value.weekday(first), figures.value.weekday(daysAfter(first, 6)))
  return {
    first,
    days: daysFrom(first, 7, row.zone),
    words,
    go: (weeks) => {
      at.value = daysAfter(first, 7 * weeks)
    },
  }
}

export function OtherWeeks({ week }: { week: Week }) {
  return (
    <Keys>
      <Key words={its.earlier} onPress={() => week.go(-1)} />
      {daysAfter(week.first, 7) <= today() && <Key words={its.later} onPress={() => week.go(1)} />}
    </Keys>
  )
}

/** What runs or is in dispute: beside the sums, never in them. */
export function Apart({ entries }: { entries: readonly TimeEntry[] }) {
  if (!entries.length) return null
  return (
    <Part title={its.apart}>
      {entries.map((entry) => {
        const when = figures.value.moment(entry.started_at)
        return (
          <Row
            key={entry.id}
            lead={en.app.listed([memberName(entry.member_id), en.clock.kinds[entry.kind]])}
            {...(entry.state === 'disputed' && { to: { at: 'time-settle', id: entry.id } as const })}
            also={entry.state === 'open' ? its.running(when) : its.disputed(when)}
          />
        )
      })}
    </Part>
  )
}

export function memberName(id: string): string {
  return members.value.find((member) => member.id === id)?.name ?? en.app.noName
}

/** "7.25 h" as the shop writes it, from seconds. */
export function hoursTold(seconds: number): string {
  return its.amount(figures.value.number(hoursOf(seconds)))
}
