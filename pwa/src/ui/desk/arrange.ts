/** Filter, order and window of a table's rows: pure functions. */
import { wordsIn } from '../../store/search/textMatch'
import type { CellValue, Column, Sort, TableOf } from './table'

/** The arrangement that a table opens with. */
export const firstArrangement = <Row>({ views, sort, columns }: TableOf<Row>) => ({
  view: views[0].key,
  filter: '',
  sort,
  columns: columns.filter(({ hidden }) => !hidden).map(({ key }) => key),
})

/** The rows whose text has, for every typed word, a word that begins with it. */
export function filterRows<Row>(
  rows: readonly Row[],
  typed: string,
  textOf: (row: Row) => readonly string[],
): readonly Row[] {
  const asked = wordsIn(typed)
  if (!asked.length) return rows
  return rows.filter((row) => {
    const words = textOf(row)
    return asked.every((each) => words.some((word) => word.startsWith(each)))
  })
}

const collator = new Intl.Collator(undefined, { numeric: true, sensitivity: 'base' })

function compareValues(a: CellValue, b: CellValue): number {
  if (typeof a === 'number' && typeof b === 'number') return a - b
  return collator.compare(String(a), String(b))
}

const isEmpty = (value: CellValue) => value === null || value === ''

/** Sorted by a column, empty cells last in either direction; rows with equal cells keep their order. */
export function sortRows<Row>(rows: readonly Row[], column: Column<Row> | undefined, sort: Sort): Row[] {
  if (!column) return [...rows]
  const { value, rank } = column
  const keyed = rows.map((row) => ({ row, at: rank ? rank(row) : value(row) }))
  const way = sort.down ? -1 : 1
  keyed.sort((a, b) => {
    if (isEmpty(a.at) || isEmpty(b.at)) return Number(isEmpty(a.at)) - Number(isEmpty(b.at))
    return way * compareValues(a.at, b.at)
  })
  return keyed.map(({ row }) => row)
}

export interface RowWindow {
  readonly first: number
  /** One after the last. */
  readonly end: number
}

/** Rows are added and taken away in blocks, so that a scroll by a row or two changes nothing. */
const BLOCK = 8

/** The rows to render: those in sight, and a block or two above and below. All lengths in px. */
export function windowOf(count: number, top: number, height: number, rowHeight: number): RowWindow {
  const at = (px: number) => Math.floor(px / rowHeight / BLOCK)
  const first = Math.max(0, Math.min((at(top) - 1) * BLOCK, count - BLOCK))
  return { first, end: Math.min(count, (at(top + height) + 2) * BLOCK) }
}

/** The indexes to render: the window, and the row that has the focus, wherever it is. */
export function renderedIndexes({ first, end }: RowWindow, focused: number): number[] {
  const indexes = Array.from({ length: Math.max(0, end - first) }, (_, at) => first + at)
  if (focused < 0 || (focused >= first && focused < end)) return indexes
  return focused < first ? [focused, ...indexes] : [...indexes, focused]
}
