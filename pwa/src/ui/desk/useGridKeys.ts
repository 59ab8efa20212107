import type { RefObject, TargetedKeyboardEvent } from 'preact'
import { desk as t } from '../../domain/words/desk'
import { keys } from '../../domain/words/keys'
import { type KeyBinding, useKeys } from '../keys'
import { navigate } from '../router'
import { focusOpenItem } from './focusItem'
import { rowElementId } from './TableRow'
import type { TableState } from './tableState'

/** Rows that Page up and Page down move by. */
const PAGE = 10
const TO_THE_END = Number.MAX_SAFE_INTEGER

/** Whether the rows have the keys: the open item and the choice of columns use arrows of their own. */
const inList = () => !document.activeElement?.closest('.desk-item, .table-columns')

/**
 * Moving through the rows, opening and selecting them by keys. Returns the listener of the grid itself: Space selects in
 * it also while single keys are turned off.
 */
export function useGridKeys(state: TableState, scroller: RefObject<HTMLDivElement | null>) {
  const move = (by: number) => moveBy(state, scroller.current, by)
  const step = (name: string, label: string, by: number): KeyBinding => ({
    keys: name,
    label,
    listOnly: true,
    when: inList,
    act: () => move(by),
  })
  const select = () => {
    const id = state.at.peek()
    if (id !== null) state.toggle(id)
  }
  useKeys('list', [
    { keys: ['ArrowDown', 'j'], label: keys.down, when: inList, act: () => move(1) },
    { keys: ['ArrowUp', 'k'], label: keys.up, when: inList, act: () => move(-1) },
    { keys: 'Enter', label: t.open, when: inList, act: () => openRow(state) },
    { keys: 'x', label: t.selectRow, act: select },
    {
      keys: 'f',
      label: t.filter,
      act: () => document.querySelector<HTMLElement>('.table-tools [type="search"]')?.focus(),
    },
    step('PageDown', t.pageDown, PAGE),
    step('PageUp', t.pageUp, -PAGE),
    step('Home', t.firstRow, -TO_THE_END),
    step('End', t.lastRow, TO_THE_END),
  ])
  return (event: TargetedKeyboardEvent<HTMLElement>) => {
    if (event.key !== ' ' || !(event.target as Element).matches('tr')) return
    event.preventDefault()
    select()
  }
}

function openRow(state: TableState): void {
  const { shown, table, at } = state
  const row = shown.peek()[state.indexOf(at.peek() ?? '')]
  if (row === undefined) return
  navigate(table.to(row))
  focusOpenItem()
}

function moveBy(state: TableState, box: HTMLElement | null, by: number): void {
  const rows = state.shown.peek()
  const next = Math.min(rows.length - 1, Math.max(0, state.indexOf(state.at.peek() ?? '') + by))
  const row = rows[next]
  if (row === undefined || !box) return
  const id = state.table.idOf(row)
  state.at.value = id
  bringIntoSight(box, next, rows.length)
  // The row may not be in the document yet.
  requestAnimationFrame(() => document.getElementById(rowElementId(id))?.focus({ preventScroll: true }))
}

/** Scrolls as far as it takes to show a whole row between the head of the table and its foot. */
function bringIntoSight(box: HTMLElement, index: number, count: number): void {
  const head = box.querySelector('thead')?.offsetHeight ?? 0
  const height = (box.querySelector('table')?.offsetHeight ?? head) - head
  const each = height / count
  const top = index * each
  if (top < box.scrollTop) box.scrollTop = top
  else if (top + each + head > box.scrollTop + box.clientHeight)
    box.scrollTop = top + each + head - box.clientHeight
}
