import { BELONGS, type Kind, type Rows } from '../domain/rows'

/** A field of a kind by which its rows can be asked for. */
export type Belonging<K extends Kind> = (typeof BELONGS)[K][number]

/** Rows of one kind in memory, found by id or by what they belong to. */
export class Table<K extends Kind> {
  readonly rows = new Map<string, Rows[K]>()
  private readonly found = new Map<string, Map<string, Set<string>>>()

  constructor(kind: K) {
    for (const field of BELONGS[kind]) this.found.set(field, new Map())
  }

  put(row: Rows[K]): void {
    this.drop(row.id)
    this.rows.set(row.id, row)
    for (const [field, owners] of this.found) {
      const owner = ownerOf(row, field)
      if (owner === null) continue
      const ids = owners.get(owner)
      if (ids) ids.add(row.id)
      else owners.set(owner, new Set([row.id]))
    }
  }

  drop(id: string): void {
    const row = this.rows.get(id)
    if (row === undefined) return
    this.rows.delete(id)
    for (const [field, owners] of this.found) {
      const owner = ownerOf(row, field)
      const ids = owner === null ? undefined : owners.get(owner)
      ids?.delete(id)
      if (owner !== null && ids?.size === 0) owners.delete(owner)
    }
  }

  idsOf(field: Belonging<K>, owner: string): Iterable<string> {
    return this.found.get(field)?.get(owner) ?? []
  }
}

function ownerOf(row: object, field: string): string | null {
  const value = (row as Record<string, unknown>)[field]
  return typeof value === 'string' ? value : null
}
