import { type ReadonlySignal, type Signal, signal } from '@preact/signals'
import { KINDS, type Kind, type Row, type Rows } from '../../domain/contract'
import { isPending, type OutboxEntry } from '../queue/entry'
import { replay } from '../replay/replay'
import { OverlayRows } from './overlay'
import type { IndexedField } from './table'

export type RowKey = readonly [Kind, string]

/** The result of a read of the phone's storage: rows that may have changed (null: deleted), and the outbox. */
export interface StoredRows {
  rows: readonly (readonly [Kind, string, Row | null])[]
  outbox: readonly OutboxEntry[]
}

/**
 * The rows that the screens show: the server's as last pulled, with the pending commands replayed on top.
 *
 * Reading inside a render or a `computed` subscribes to the kinds read. Rows are never changed in place;
 * a row that did not change stays the same object.
 */
export class RowsView {
  private readonly overlayRows = new OverlayRows()
  private readonly versions = Object.fromEntries(KINDS.map((kind) => [kind, signal(0)])) as Record<
    Kind,
    Signal<number>
  >
  private readonly entries = signal<readonly OutboxEntry[]>([])
  private readonly who: { member_id: string; device_id: string }

  constructor(who: { member_id: string; device_id: string }) {
    this.who = who
  }

  /** Every entry of the outbox in order of number. */
  get outbox(): ReadonlySignal<readonly OutboxEntry[]> {
    return this.entries
  }

  get<K extends Kind>(kind: K, id: string): Rows[K] | undefined {
    this.versions[kind].value
    return this.overlayRows.get(kind, id)
  }

  /** As `get`, without subscribing. */
  peek<K extends Kind>(kind: K, id: string): Rows[K] | undefined {
    return this.overlayRows.get(kind, id)
  }

  where<K extends Kind>(kind: K, field: IndexedField<K>, value: string): Rows[K][] {
    this.versions[kind].value
    return this.overlayRows.where(kind, field, value)
  }

  all<K extends Kind>(kind: K): Rows[K][] {
    this.versions[kind].value
    return this.overlayRows.all(kind)
  }

  /** Replays commands just saved on top of the view. */
  append(entries: readonly OutboxEntry[]): void {
    for (const entry of entries) replay(this.overlayRows, entry, this.who)
    this.entries.value = [...this.entries.value, ...entries]
    this.notify()
  }

  /** After a change of the storage, here or in another tab: replaces rows and replays all pending commands. */
  refresh(reading: StoredRows): void {
    this.overlayRows.clearOverlay()
    for (const [kind, id, row] of reading.rows) {
      // A kind of an earlier build, whose rows the server has given a new one.
      if (!(kind in this.versions)) continue
      if (row === null) this.overlayRows.dropBase(kind, id)
      else this.overlayRows.putBase(kind, row as Rows[typeof kind])
    }
    for (const entry of reading.outbox) if (isPending(entry)) replay(this.overlayRows, entry, this.who)
    this.entries.value = reading.outbox
    this.notify()
  }

  /** As `refresh`, after clearing all rows. */
  replaceAll(reading: StoredRows): void {
    this.overlayRows.clearBase()
    this.refresh(reading)
  }

  private notify(): void {
    for (const kind of this.overlayRows.takeChanged())
      this.versions[kind].value = this.versions[kind].peek() + 1
  }
}
