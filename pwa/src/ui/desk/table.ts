import type { Route } from '../router'

/** What a cell holds: money in minor units, hours in minutes, days and moments as ISO text; null where there is nothing. */
export type CellValue = string | number | null

export type CellKind = 'text' | 'day' | 'moment' | 'time' | 'money' | 'hours' | 'number'

/** A column, declared once: what sorts, is shown, is filtered by and goes into the CSV follows from it. */
export interface Column<Row> {
  readonly key: string
  readonly label: string
  /** How the value is shown and written; text by default. Money, hours and numbers are at the end of their cell. */
  readonly kind?: CellKind
  readonly value: (row: Row) => CellValue
  /** Sorts by this instead of the value, such as the order of stages. */
  readonly rank?: (row: Row) => number
  /** Said after the value, which it makes bold: "2 days late". */
  readonly note?: (row: Row) => string
  /** Said in place of an empty value: "not quoted". */
  readonly none?: (row: Row) => string
  /** In rem. */
  readonly width: number
  readonly bold?: true
  /** Left out while the table has too little width for all. */
  readonly spare?: true
  /** Not shown until it is chosen. */
  readonly hidden?: true
  /** Too slow to work out for every row while someone types: the filter leaves it out. */
  readonly slow?: true
}

export interface TableView<Row> {
  readonly key: string
  readonly label: string
  readonly has: (row: Row) => boolean
}

/** A table of a place. Its first view and its `sort` are what it opens with. */
export interface TableOf<Row> {
  readonly key: string
  readonly title: string
  /** Read inside a `computed`: rows are new objects whenever anything changed that a column shows. */
  readonly rows: () => readonly Row[]
  readonly idOf: (row: Row) => string
  readonly to: (row: Row) => Route
  readonly columns: readonly Column<Row>[]
  readonly views: readonly [TableView<Row>, ...TableView<Row>[]]
  readonly sort: Sort
  /** The row on a phone. */
  readonly onPhone: (row: Row) => { title: string; value?: string; details?: string }
  /** `keys`: bound by who binds keys at the desk, shown on the button. */
  readonly act?: { readonly label: string; readonly to: Route; readonly keys?: string }
}

export interface Sort {
  readonly key: string
  readonly down?: boolean
}

/** How a table is arranged; a saved view is one of these with a name. */
export interface Arrangement {
  readonly view: string
  readonly filter: string
  readonly sort: Sort
  /** The keys of the columns shown, in the order of the table. */
  readonly columns: readonly string[]
}
