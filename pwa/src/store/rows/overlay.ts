import { KINDS, type Kind, type Rows } from '../../domain/contract'
import { type IndexedField, RowTable } from './table'

type Tables = { [K in Kind]: RowTable<K> }
type OverlayEntries = { [K in Kind]: Map<string, Rows[K] | null> }

/** The rows as a replay reads and changes them. */
export interface ReplayRows {
  get<K extends Kind>(kind: K, id: string): Rows[K] | undefined
  where<K extends Kind>(kind: K, field: IndexedField<K>, value: string): Rows[K][]
  all<K extends Kind>(kind: K): Rows[K][]
  put<K extends Kind>(kind: K, row: Rows[K]): void
  drop(kind: Kind, id: string): void
}

/** The server's rows with a layer of changes by pending commands on top. */
export class OverlayRows implements ReplayRows {
  private baseTables = makeTables()
  private overlayTables = makeTables()
  /** The rows of the top layer; null for a deleted one. */
  private overlay = makeOverlayEntries()
  private changed = new Set<Kind>()

  get<K extends Kind>(kind: K, id: string): Rows[K] | undefined {
    const overlaid = this.overlay[kind].get(id)
    return overlaid === undefined ? this.baseTables[kind].rows.get(id) : (overlaid ?? undefined)
  }

  where<K extends Kind>(kind: K, field: IndexedField<K>, value: string): Rows[K][] {
    const found: Rows[K][] = []
    for (const id of this.baseTables[kind].idsWith(field, value)) {
      const row = this.overlay[kind].has(id) ? undefined : this.baseTables[kind].rows.get(id)
      if (row) found.push(row)
    }
    for (const id of this.overlayTables[kind].idsWith(field, value)) {
      const row = this.overlayTables[kind].rows.get(id)
      if (row) found.push(row)
    }
    return found
  }

  all<K extends Kind>(kind: K): Rows[K][] {
    const overlaid = this.overlay[kind]
    if (overlaid.size === 0) return [...this.baseTables[kind].rows.values()]
    const found: Rows[K][] = []
    for (const [id, row] of this.baseTables[kind].rows) if (!overlaid.has(id)) found.push(row)
    found.push(...this.overlayTables[kind].rows.values())
    return found
  }

  put<K extends Kind>(kind: K, row: Rows[K]): void {
    this.changed.add(kind)
    this.overlay[kind].set(row.id, row)
    this.overlayTables[kind].put(row)
  }

  drop(kind: Kind, id: string): void {
    this.changed.add(kind)
    this.overlayTables[kind].drop(id)
    if (this.baseTables[kind].rows.has(id)) this.overlay[kind].set(id, null)
    else this.overlay[kind].delete(id)
  }

  putBase<K extends Kind>(kind: K, row: Rows[K]): void {
    this.changed.add(kind)
    this.baseTables[kind].put(row)
  }

  dropBase(kind: Kind, id: string): void {
    this.changed.add(kind)
    this.baseTables[kind].drop(id)
  }

  clearBase(): void {
    for (const kind of KINDS) if (this.baseTables[kind].rows.size > 0) this.changed.add(kind)
    this.baseTables = makeTables()
  }

  /** Clears the top layer. */
  clearOverlay(): void {
    for (const kind of KINDS) if (this.overlay[kind].size > 0) this.changed.add(kind)
    this.overlayTables = makeTables()
    this.overlay = makeOverlayEntries()
  }

  /** The kinds changed since the last call. */
  takeChanged(): Set<Kind> {
    const changed = this.changed
    this.changed = new Set()
    return changed
  }
}

function makeTables(): Tables {
  return Object.fromEntries(KINDS.map((kind) => [kind, new RowTable()])) as unknown as Tables
}

function makeOverlayEntries(): OverlayEntries {
  return Object.fromEntries(KINDS.map((kind) => [kind, new Map()])) as unknown as OverlayEntries
}
