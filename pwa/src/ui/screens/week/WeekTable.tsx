import { signal } from '@preact/signals'
import { useLayoutEffect, useRef } from 'preact/hooks'
import type { EntryKind } from '../../../domain/contract'
import type { WeekCell } from '../../../domain/labor/weekRows'
import { en } from '../../../domain/words'
import { week as t } from '../../../domain/words/week'
import { BarSegments, Swatch } from '../../components/BarChart'
import { jobText } from '../../features/clock/timeEntryText'
import { KIND_PATTERNS } from '../../features/reports/week'
import { memberName } from '../../names'
import { format, today } from '../../shopFormat'
import type { WeekBoard } from './useWeekBoard'

/** Whether the focus is on a day: elsewhere the arrows scroll. A signal, so that the line of keys follows. */
export const isInTable = signal(false)

const lengthOf = (seconds: number) => en.clockFace.running(Math.floor(seconds / 60))

/** Persons by days; a day is a button that opens its entries. */
export function WeekTable({ board }: { board: WeekBoard }) {
  const table = useRef<HTMLTableElement>(null)
  const { days, rows, row, cell } = board
  useLayoutEffect(() => {
    // The keyboard goes with the chosen day, but only from one day to another.
    if (document.activeElement?.closest('.week-table') === table.current)
      table.current?.querySelector<HTMLElement>('[aria-pressed="true"]')?.focus({ preventScroll: true })
  }, [row.member_id, cell.on])
  return (
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

export function Legend({ board }: { board: WeekBoard }) {
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
