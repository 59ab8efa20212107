import { useState } from 'preact/hooks'
import { timesheetRows } from '../../../domain/labor/timesheet'
import { type WeekCell, type WeekRow, weekRows } from '../../../domain/labor/weekRows'
import { daysFrom, type ShopDay, startOfWeek } from '../../../domain/labor/worked'
import { type Day, daysAfter } from '../../../domain/time'
import { shopSession } from '../../../store/session/shopSession'
import { members, shop } from '../../../store/shop'
import { endedIn, maySeeAllTime, openOrDisputedIn } from '../../../store/timeReports'
import { startMoment } from '../../features/clock/timeEntryText'
import { today, zone } from '../../shopFormat'
import { useNow } from '../../useNow'

export interface WeekBoard {
  first: Day
  days: readonly ShopDay[]
  rows: readonly WeekRow[]
  /** The row and the cell that are open at the side. */
  row: WeekRow
  cell: WeekCell
  choose: (member_id: string, on: Day) => void
  /** To the next person or day, where there is one. */
  move: (persons: number, days: number) => void
  /** The longest day, to which bars are drawn, in seconds. */
  longest: number
}

const SHORT_DAY_S = 8 * 3600

/** The week that contains a day: everyone's for who may see it, else the member's own; null before the shop is here. */
export function useWeekBoard(day: Day): WeekBoard | null {
  const now = useNow()
  const me = shopSession.value?.who.member_id ?? ''
  const [chosen, setChosen] = useState<{ member_id: string; on: Day }>({ member_id: me, on: day })
  const own = shop.value
  if (!own) return null
  const first = startOfWeek(day, own.week_start)
  const days = daysFrom(first, 7, zone.value)
  const entries = [...endedIn(days), ...openOrDisputedIn(days)]
  const listed = timesheetRows(entries, days, { zone: zone.value, now, began: startMoment })
  const worked = new Set(entries.map(({ member_id }) => member_id))
  const ids = members.value
    .filter(({ id, active }) => id === me || worked.has(id) || (active && maySeeAllTime()))
    .map(({ id }) => id)
  const rows = weekRows(
    listed,
    ids,
    days.map(({ on }) => on),
  )
  const row = rows.find(({ member_id }) => member_id === chosen.member_id) ?? rows[0]
  const cell = row?.cells.find(({ on }) => on === chosen.on) ?? row?.cells[0]
  if (!row || !cell) return null
  const choose = (member_id: string, on: Day) => setChosen({ member_id, on })
  return {
    first,
    days,
    rows,
    row,
    cell,
    choose,
    move(persons, ahead) {
      const next = rows[rows.indexOf(row) + persons]
      const on = row.cells[row.cells.indexOf(cell) + ahead]?.on
      if (next && on) choose(next.member_id, on)
    },
    longest: Math.max(SHORT_DAY_S, ...rows.flatMap(({ cells }) => cells.map(({ seconds }) => seconds))),
  }
}

/** The first day of the week before or after. */
export const otherWeek = (first: Day, by: -1 | 1): Day => daysAfter(first, 7 * by)

/** A day of the address, today where it is none. */
export const readDay = (day: string | undefined): Day =>
  day && /^\d{4}-\d\d-\d\d$/u.test(day) ? day : today()
