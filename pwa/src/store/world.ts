import { KINDS, type Kind, type Rows } from '../domain/rows'
import { type Belonging, Table } from './table'

type Tables = { [K in Kind]: Table<K> }
type Laid = { [K in Kind]: Map<string, Rows[K] | null> }

/** What a command's replay may see and change. */
export interface World {
  get<K extends Kind>(kind: K, id: string): Rows[K] | undefined
  where<K extends Kind>(kind: K, field: Belonging<K>, owner: string): Rows[K][]
  put<K extends Kind>(kind: K, row: Rows[K]): void
  drop(kind: Kind, id: string): void
}

/** The server's rows with a second layer on top, which holds what pending commands have changed. */
export class LayeredWorld implements World {
  private base = makeTables()
  private top = makeTables()
  /** Every row the top layer speaks for; null where it is taken out. */
  private laid = makeLaid()
  private changed = new Set<Kind>()

  get<K extends Kind>(kind: K, id: string): Rows[K] | undefined {
    const laid = this.laid[kind].get(id)
    return laid === undefined ? this.base[kind].rows.get(id) : (laid ?? undefined)
  }

  where<K extends Kind>(kind: K, field: Belonging<K>, owner: string): Rows[K][] {
    const found: Rows[K][] = []
    for (const id of this.base[kind].idsOf(field, owner)) {
      const row = this.laid[kind].has(id) ? undefined : this.base[kind].rows.get(id)
      if (row) found.push(row)
    }
    for (const id of this.top[kind].idsOf(field, owner)) {
      const row = this.top[kind].rows.get(id)
      if (row) found.push(row)
    }
    return found
  }

  all<K extends Kind>(kind: K): Rows[K][] {
    const laid = this.laid[kind]
    if (laid.size === 0) return [...this.base[kind].rows.values()]
    const found: Rows[K][] = []
    for (const [id, row] of this.base[kind].rows) if (!laid.has(id)) found.push(row)
    found.push(...this.top[kind].rows.values())
    return found
  }

  put<K extends Kind>(kind: K, row: Rows[K]): void {
    this.changed.add(kind)
    this.laid[kind].set(row.id, row)
    this.top[kind].put(row)
  }

  drop(kind: Kind, id: string): void {
    this.changed.add(kind)
    this.top[kind].drop(id)
    if (this.base[kind].rows.has(id)) this.laid[kind].set(id, null)
    else this.laid[kind].delete(id)
  }

  putBase<K extends Kind>(kind: K, row: Rows[K]): void {
    this.changed.add(kind)
    this.base[kind].put(row)
  }

  dropBase(kind: Kind, id: string): void {
    this.changed.add(kind)
    this.base[kind].drop(id)
  }

  clearBase(): void {
    for (const kind of KINDS) if (this.base[kind].rows.size > 0) this.changed.add(kind)
    this.base = makeTables()
  }

  /** Takes the top layer off. */
  liftTop(): void {
    for (const kind of KINDS) if (this.laid[kind].size > 0) this.changed.add(kind)
    this.top = makeTables()
    this.laid = makeLaid()
  }

  /** The kinds changed since this was last asked. */
  takeChanged(): Set<Kind> {
    const changed = this.changed
    this.changed = new Set()
    return changed
  }
}

function makeTables(): Tables {
  return Object.fromEntries(KINDS.map((kind) => [kind, new Table(kind)])) as unknown as Tables
}

function makeLaid(): Laid {
  return Object.fromEntries(KINDS.map((kind) => [kind, new Map()])) as unknown as Laid
}
