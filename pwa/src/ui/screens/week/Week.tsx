import { useEffect } from 'preact/hooks'
import type { Day } from '../../../domain/time'
import { week as t } from '../../../domain/words/week'
import { Button } from '../../components/Button'
import { OnTheClock } from '../../features/waits/OfficeSections'
import { useKeys } from '../../keys'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { otherWeek, readDay, useWeekBoard, type WeekBoard } from './useWeekBoard'
import { WeekSide } from './WeekSide'
import { isInTable, Legend, WeekTable } from './WeekTable'

/** Who works on what in a week, person by day. */
export function Week({ day }: { day?: string | undefined }) {
  const on = readDay(day)
  return <WeekOf key={on} day={on} />
}

function WeekOf({ day }: { day: Day }) {
  const board = useWeekBoard(day)
  return board && <WeekPage board={board} />
}

function WeekPage({ board }: { board: WeekBoard }) {
  const { first } = board
  useWeekKeys(board)
  useEffect(
    () => () => {
      isInTable.value = false
    },
    [],
  )
  return (
    <ShopPage
      title={t.title(format.value.day(first))}
      overline={t.overline}
      variant="board-page"
      badge={<WeekActs first={first} />}
    >
      <div class="board-split">
        <div>
          <WeekTable board={board} />
          <Legend board={board} />
          <OnTheClock />
        </div>
        <WeekSide board={board} />
      </div>
    </ShopPage>
  )
}

function WeekActs({ first }: { first: Day }) {
  return (
    <div class="board-acts">
      <Button label="←" ariaLabel={t.before} to={{ at: 'week', day: otherWeek(first, -1) }} />
      <Button label="→" ariaLabel={t.after} to={{ at: 'week', day: otherWeek(first, 1) }} />
      <Button label={t.entries} to={{ at: 'hours' }} />
      <Button label={t.reports} to={{ at: 'reports' }} />
      <Button newTab label={t.table} href={`/api/v1/reports/hours.csv?day=${first}`} />
    </div>
  )
}

function useWeekKeys({ first, move }: WeekBoard): void {
  const go = (by: -1 | 1) => navigate({ at: 'week', day: otherWeek(first, by) })
  const step = (keys: string, label: string, persons: number, days: number) => ({
    keys,
    label,
    act: () => move(persons, days),
    when: () => isInTable.value,
  })
  useKeys('week', [
    step('ArrowUp', t.keys.person, -1, 0),
    step('ArrowDown', t.keys.personDown, 1, 0),
    step('ArrowLeft', t.keys.day, 0, -1),
    step('ArrowRight', t.keys.dayAfter, 0, 1),
    { keys: '[', label: t.keys.before, act: () => go(-1) },
    { keys: ']', label: t.keys.after, act: () => go(1) },
  ])
}
