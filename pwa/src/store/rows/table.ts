import type { Kind, Rows } from '../../domain/contract'

/** A field by which rows can be looked up: text, often an id, or null. */
export type IndexedField<K extends Kind> = {
  [Field in keyof Rows[K]]: Rows[K][Field] extends string | null ? Field : never
}[keyof Rows[K]]

/** The ids of the rows that hold each value of one field. */
type IdsByValue = Map<string, Set<string>>

/** Rows of one kind in memory, found by id or by the value of a field. */
export class RowTable<K extends Kind> {
  readonly rows = new Map<string, Rows[K]>()
  /** An index is built when its field is first looked up, and updated from then on. */
  private readonly indexes = new Map<IndexedField<K>, IdsByValue>()

  put(row: Rows[K]): void {
    this.drop(row.id)
    this.rows.set(row.id, row)
    for (const [field, index] of this.indexes) addToIndex(index, row[field], row.id)
  }

  drop(id: string): void {
    const row = this.rows.get(id)
    if (row === undefined) return
    this.rows.delete(id)
    for (const [field, index] of this.indexes) {
      const value = row[field]
      if (typeof value !== 'string') continue
      const ids = index.get(value)
      ids?.delete(id)
      if (ids?.size === 0) index.delete(value)
    }
  }

  idsWith(field: IndexedField<K>, value: string): Iterable<string> {
    return (this.indexes.get(field) ?? this.buildIndex(field)).get(value) ?? []
  }

  private buildIndex(field: IndexedField<K>): IdsByValue {
    const index: IdsByValue = new Map()
    for (const row of this.rows.values()) addToIndex(index, row[field], row.id)
    this.indexes.set(field, index)
    return index
  }
}

function addToIndex(index: IdsByValue, value: unknown, id: string): void {
  if (typeof value !== 'string') return
  const ids = index.get(value)
  if (ids) ids.add(id)
  else index.set(value, new Set([id]))
}
