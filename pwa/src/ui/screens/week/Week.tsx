import { signal } from '@preact/signals'
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks'
import type { EntryKind } from '../../../domain/contract'
import type { WeekCell } from '../../../domain/labor/weekRows'
import type { Day } from '../../../domain/time'
import { en } from '../../../domain/words'
import { week as t } from '../../../domain/words/week'
import { BarSegments, Swatch } from '../../components/BarChart'
import { Button } from '../../components/Button'
import { jobText } from '../../features/clock/timeEntryText'
import { KIND_PATTERNS, memberName } from '../../features/reports/week'
import { OnTheClock } from '../../features/waits/OfficeSections'
import { useKeys } from '../../keys'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { isWide } from '../../wide'
import { otherWeek, readDay, useWeekBoard, type WeekBoard } from './useWeekBoard'
import { WeekSide } from './WeekSide'

export interface Props {
  day?: string | undefined
}

/** Who works on what in a week, person by day. Where it does not fit, the report of the week. */
export function Week({ day }: Props) {
  const on = readDay(day)
  const wide = isWide.value
  useEffect(() => {
    if (!wide) navigate({ at: 'report', of: 'week' }, { replace: true })
  }, [wide])
  return wide ? <WeekOf key={on} day={on} /> : null
}

function WeekOf({ day }: { day: Day }) {
  const board = useWeekBoard(day)
  return board && <WeekPage board={board} />
}

const lengthOf = (seconds: number) => en.clockFace.running(Math.floor(seconds / 60))

/** Whether the focus is on a day: elsewhere the arrows scroll. A signal, so that the line of keys follows. */
const isInTable = signal(false)

function WeekPage({ board }: { board: WeekBoard }) {
  const table = useRef<HTMLTableElement>(null)
  const { first, days, rows, row, cell } = board
  useWeekKeys(board)
  useEffect(
    () => () => {
      isInTable.value = false
    },
    [],
  )
  useLayoutEffect(() => {
    // The keyboard goes with the chosen day, but only from one day to another.
    if (document.activeElement?.closest('.week-table') === table.current)
      table.current?.querySelector<HTMLElement>('[aria-pressed="true"]')?.focus({ preventScroll: true })
  }, [row.member_id, cell.on])
  return (
    <ShopPage
      title={t.title(format.value.day(first))}
      overline={t.overline}
      variant="board-page"
      badge={<WeekActs first={first} />}
    >
      <div class="board-split">
        <div>
          <table
            class="week-table"
            ref={table}
            onFocusIn={() => {
              isInTable.value = true
            }}
            onFocusOut={() => {
              isInTable.value = false
            }}
          >
            <thead>
              <tr>
                <th scope="col">{t.who}</th>
                {days.map(({ on }) => (
                  <th key={on} scope="col" aria-current={on === today() ? 'date' : undefined}>
                    {format.value.weekday(on)}
                  </th>
                ))}
                <th scope="col">{t.total}</th>
                <th scope="col">{t.onJobs}</th>
              </tr>
            </thead>
            <tbody>
              {rows.map((each) => (
                <tr key={each.member_id} class={each === row ? 'chosen' : undefined}>
                  <th scope="row">{memberName(each.member_id)}</th>
                  {each.cells.map((day) => (
                    <td key={day.on} class={day.on === today() ? 'today' : undefined}>
                      <DayButton board={board} member_id={each.member_id} cell={day} />
                    </td>
                  ))}
                  <td>
                    <b>{lengthOf(each.seconds)}</b>
                  </td>
                  <td>{lengthOf(each.on_jobs)}</td>
                </tr>
              ))}
            </tbody>
          </table>
          <Legend board={board} />
          <OnTheClock />
        </div>
        <WeekSide board={board} />
      </div>
    </ShopPage>
  )
}

function DayButton({ board, member_id, cell }: { board: WeekBoard; member_id: string; cell: WeekCell }) {
  const chosen = member_id === board.row.member_id && cell.on === board.cell.on
  const open = ({ detail }: MouseEvent) => {
    board.choose(member_id, cell.on)
    if (detail === 0) requestAnimationFrame(() => document.getElementById('week-day')?.focus())
  }
  const shown = [
    cell.seconds > 0 ? lengthOf(cell.seconds) : '',
    cell.runs ? t.soFar : '',
    cell.unsettled.length > 0 ? t.check(cell.unsettled.length) : '',
  ].filter(Boolean)
  const parts = cell.parts.map((part) =>
    t.part(
      [en.clockFace.kinds[part.kind], jobText(part.job_id)].filter(Boolean).join(' '),
      lengthOf(part.seconds),
    ),
  )
  return (
    <button
      type="button"
      class="week-day"
      aria-pressed={chosen}
      tabIndex={chosen ? 0 : -1}
      aria-label={en.app.listed([
        ...(shown.length > 0 ? shown : [t.noTime]),
        t.cell(memberName(member_id), format.value.weekday(cell.on)),
        ...parts,
      ])}
      onClick={open}
    >
      {cell.parts.length > 0 && (
        <span aria-hidden="true">
          <BarSegments
            id={`${member_id}${cell.on}`}
            bar={{
              segments: cell.parts.map(({ kind, seconds }) => ({
                pattern: KIND_PATTERNS[kind],
                value: seconds,
              })),
              ariaLabel: '',
            }}
            max={board.longest}
          />
        </span>
      )}
      {shown.map((line, at) => (
        <span key={line}>{at === 0 && cell.seconds > 0 ? <b>{line}</b> : line} </span>
      ))}
    </button>
  )
}

function Legend({ board }: { board: WeekBoard }) {
  const used = new Set(
    board.rows.flatMap(({ cells }) => cells.flatMap(({ parts }) => parts.map(({ kind }) => kind))),
  )
  if (used.size === 0) return null
  return (
    <p class="board-legend">
      {(Object.keys(KIND_PATTERNS) as EntryKind[])
        .filter((kind) => used.has(kind))
        .map((kind) => (
          <span key={kind}>
            <Swatch pattern={KIND_PATTERNS[kind]} /> {en.clockFace.kinds[kind]}
          </span>
        ))}
      <span>{t.legend}</span>
    </p>
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
