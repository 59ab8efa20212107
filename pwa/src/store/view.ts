import { type ReadonlySignal, type Signal, signal } from '@preact/signals'
import { KINDS, type Kind, type Row, type Rows } from '../domain/rows'
import { type Entry, isPending } from './entry'
import { replay } from './replay'
import type { Belonging } from './table'
import { LayeredWorld } from './world'

export type Key = readonly [Kind, string]

/** What a read of the phone's storage found: rows that may have changed (null: gone), and the outbox. */
export interface Reading {
  rows: readonly (readonly [Kind, string, Row | null])[]
  outbox: readonly Entry[]
}

/**
 * What the screens show: the server's rows as last seen, with the pending commands replayed on top.
 *
 * Reading inside a render or a `computed` subscribes to the kinds read. Rows are never changed in place;
 * a row that did not change stays the same object.
 */
export class View {
  private readonly world = new LayeredWorld()
  private readonly versions = Object.fromEntries(KINDS.map((kind) => [kind, signal(0)])) as Record<
    Kind,
    Signal<number>
  >
  private readonly entries = signal<readonly Entry[]>([])
  private readonly who: { member_id: string; device_id: string }

  constructor(who: { member_id: string; device_id: string }) {
    this.who = who
  }

  /** Every entry of the outbox in order of number. */
  get outbox(): ReadonlySignal<readonly Entry[]> {
    return this.entries
  }

  get<K extends Kind>(kind: K, id: string): Rows[K] | undefined {
    this.versions[kind].value
    return this.world.get(kind, id)
  }

  /** As `get`, without subscribing. */
  peek<K extends Kind>(kind: K, id: string): Rows[K] | undefined {
    return this.world.get(kind, id)
  }

  where<K extends Kind>(kind: K, field: Belonging<K>, owner: string): Rows[K][] {
    this.versions[kind].value
    return this.world.where(kind, field, owner)
  }

  all<K extends Kind>(kind: K): Rows[K][] {
    this.versions[kind].value
    return this.world.all(kind)
  }

  /** Commands just saved: their effect is laid on top of what is shown. */
  append(entries: readonly Entry[]): void {
    for (const entry of entries) replay(this.world, entry, this.who)
    this.entries.value = [...this.entries.value, ...entries]
    this.tell()
  }

  /** Storage has changed, here or in another tab: rows replace rows, and all pending commands are replayed. */
  refresh(reading: Reading): void {
    this.world.liftTop()
    for (const [kind, id, row] of reading.rows) {
      if (row === null) this.world.dropBase(kind, id)
      else this.world.putBase(kind, row as Rows[typeof kind])
    }
    for (const entry of reading.outbox) if (isPending(entry)) replay(this.world, entry, this.who)
    this.entries.value = reading.outbox
    this.tell()
  }

  /** As `refresh`, with nothing left of the rows before. */
  replaceAll(reading: Reading): void {
    this.world.clearBase()
    this.refresh(reading)
  }

  private tell(): void {
    for (const kind of this.world.takeChanged()) this.versions[kind].value = this.versions[kind].peek() + 1
  }
}
