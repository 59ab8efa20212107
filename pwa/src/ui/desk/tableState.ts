import { computed, type ReadonlySignal, type Signal, signal } from '@preact/signals'
import { wordsIn } from '../../store/search/textMatch'
import { csvText } from '../features/tables/csv'
import { filterRows, firstArrangement, sortRows } from './arrange'
import { cellField, cellText } from './cells'
import type { Arrangement, Column, Sort, TableOf } from './table'

/** A table as it is shown: its rows, worked out once for each change, and what is done with it. */
export class TableState<Row = unknown> {
  readonly table: TableOf<Row>
  readonly arrangement: Signal<Arrangement>
  readonly selected = signal<ReadonlySet<string>>(new Set())
  /** The id of the row that the keys are at. */
  readonly at = signal<string | null>(null)
  /** Kept while another place is shown, in px. */
  scrollTop = 0
  /** The rows shown, in their order. */
  readonly shown: ReadonlySignal<readonly Row[]>
  /** How many rows each view has. */
  readonly counts: ReadonlySignal<Readonly<Record<string, number>>>
  readonly columns: ReadonlySignal<readonly Column<Row>[]>
  private readonly rows: ReadonlySignal<readonly Row[]>
  /** Where each id is among the rows shown. */
  private readonly places: ReadonlySignal<ReadonlyMap<string, number>>
  /** The words of a row that the filter looks in. */
  private readonly words = new WeakMap<object, readonly string[]>()

  constructor(table: TableOf<Row>) {
    this.table = table
    this.arrangement = signal<Arrangement>(firstArrangement(table))
    this.rows = computed(table.rows)
    const view = computed(() => this.arrangement.value.view)
    const filter = computed(() => this.arrangement.value.filter)
    const sort = computed(() => this.arrangement.value.sort)
    const inView = computed(() => {
      const { has } = table.views.find(({ key }) => key === view.value) ?? table.views[0]
      return this.rows.value.filter(has)
    })
    const found = computed(() => filterRows(inView.value, filter.value, (row) => this.wordsOf(row)))
    this.shown = computed(() => {
      const column = table.columns.find(({ key }) => key === sort.value.key)
      return sortRows(found.value, column, sort.value)
    })
    this.places = computed(() => new Map(this.shown.value.map((row, at) => [table.idOf(row), at])))
    this.counts = computed(() =>
      Object.fromEntries(table.views.map(({ key, has }) => [key, this.rows.value.filter(has).length])),
    )
    const shownKeys = computed(() => this.arrangement.value.columns)
    this.columns = computed(() => {
      const chosen = table.columns.filter(({ key }) => shownKeys.value.includes(key))
      // A view that another build saved may name columns that are no more.
      return chosen.length ? chosen : table.columns.filter(({ hidden }) => !hidden)
    })
  }

  private wordsOf(row: Row): readonly string[] {
    const known = this.words.get(row as object)
    if (known) return known
    const columns = this.table.columns.filter(({ slow }) => !slow)
    const words = wordsIn(columns.map((column) => cellText(column, row)).join(' '))
    this.words.set(row as object, words)
    return words
  }

  /** Where the row of an id is shown; -1 where it is not. */
  indexOf(id: string): number {
    return this.places.value.get(id) ?? -1
  }

  arrange(changes: Partial<Arrangement>): void {
    this.arrangement.value = { ...this.arrangement.peek(), ...changes }
  }

  /** By a column; by the one it is sorted by already, the other way. */
  sortBy(key: string): void {
    const { sort } = this.arrangement.peek()
    const next: Sort = sort.key === key && !sort.down ? { key, down: true } : { key }
    this.arrange({ sort: next })
  }

  toggleColumn(key: string): void {
    const { columns } = this.arrangement.peek()
    const next = columns.includes(key) ? columns.filter((each) => each !== key) : [...columns, key]
    if (next.length) this.arrange({ columns: next })
  }

  toggle(id: string): void {
    const next = new Set(this.selected.peek())
    if (!next.delete(id)) next.add(id)
    this.selected.value = next
  }

  /** All that is shown, or nothing. */
  toggleAll(): void {
    const ids = this.shown.peek().map(this.table.idOf)
    const all = ids.every((id) => this.selected.peek().has(id))
    this.selected.value = new Set(all ? [] : ids)
  }

  /** All selected rows, whatever the view and the filter; without any, all that is shown. */
  rowsToSave(): readonly Row[] {
    const selected = this.selected.peek()
    const rows = this.rows.peek().filter((row) => selected.has(this.table.idOf(row)))
    const { sort } = this.arrangement.peek()
    const column = this.table.columns.find(({ key }) => key === sort.key)
    return rows.length ? sortRows(rows, column, sort) : this.shown.peek()
  }

  csv(): string {
    const columns = this.columns.peek()
    return csvText([
      columns.map(({ label }) => label),
      ...this.rowsToSave().map((row) => columns.map((column) => cellField(column, row))),
    ])
  }
}

const states = new Map<string, TableState>()

/** The state of a table, which stays while the app runs. */
export function tableState(table: TableOf<unknown>): TableState {
  const known = states.get(table.key)
  if (known?.table === table) return known
  const fresh = new TableState(table)
  states.set(table.key, fresh)
  return fresh
}
