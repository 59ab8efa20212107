import type { Kind, Row } from '../../domain/contract'
import type { Device, SnapshotProgress } from '../database/meta'
import type { CommandAnswer, OutboxEntry } from '../queue/entry'

/** What became of one command, as the server recorded it. */
export interface Outcome extends CommandAnswer {
  id: string
}

export interface Registration {
  letter: string
  epoch: string
}

export type RowsByKind = { readonly [kind in Kind]?: readonly Row[] }

export interface SnapshotPage {
  rows: RowsByKind
  /** Where the next page begins; null on the last. */
  after: string | null
  /** Where to pull from once all pages are here; counts on the first page only. */
  cursor: string
}

export interface Page {
  rows: RowsByKind
  gone: readonly (readonly [Kind, string])[]
  /** Up to which number each device's commands are in these rows or were refused. */
  acks: Readonly<Record<string, number>>
  cursor: string
  more: boolean
  /** Up to which number a backup of the server holds this device's commands. */
  safe_no: number
}

export type Resync = 'horizon' | 'fork' | 'view'

/**
 * The server. Every call throws NoSignal when it did not answer, and Problem when it refused: 401 nobody
 * is signed in, 409 `gap` or `fork`, 410 the device is retired, 426 the app is too old, 503 try later.
 */
export interface RemotePort {
  /** The member this browser is signed in as; null when nobody is. */
  whoIsSignedIn(): Promise<string | null>
  register(device_id: string): Promise<Registration>
  push(device_id: string, entries: readonly OutboxEntry[]): Promise<Outcome[]>
  /** null: nothing has changed since the cursor. */
  pull(device_id: string, cursor: string): Promise<Page | { resync: Resync } | null>
  snapshot(device_id: string, after: string | null): Promise<SnapshotPage>
  /** What became of a command; null when the server never heard of it. */
  outcome(command_id: string): Promise<Outcome | null>
}

export interface SyncPosition {
  device: Device
  cursor: string | null
  snapshot: SnapshotProgress | null
}

/**
 * This phone. Each call is one transaction, or a run of small ones of which the last moves the cursor:
 * a phone that dies in between goes on where it was. A page fetched from another place than the stored
 * one is thrown away, because somebody wiped or renewed the rows meanwhile.
 */
export interface LocalPort {
  read(): Promise<SyncPosition>
  saveRegistration(registered: Registration): Promise<void>
  /** The commands the server may not have, from a number on, in order. */
  unsent(from_no: number): Promise<OutboxEntry[]>
  held(): Promise<OutboxEntry[]>
  noteSent(ids: readonly string[]): Promise<void>
  saveOutcomes(outcomes: readonly Outcome[]): Promise<void>
  saveSnapshotPage(page: SnapshotPage, before: SnapshotProgress | null): Promise<void>
  /** The rows are to be fetched whole again; those here stay until then. */
  requestSnapshot(): Promise<void>
  /** On the last page an applied command leaves the outbox, because its effect is in the rows. */
  savePage(page: Page, from_cursor: string): Promise<void>
  /** The server has nothing newer, so what was applied is in the rows already. */
  savePullWithoutChanges(): Promise<void>
  /** Answered commands from a number on are to be sent again: the server has forgotten them. */
  resubmit(from_no: number): Promise<void>
  /** The device gets a new identity and numbers what is unsent from 1. */
  resetDevice(): Promise<void>
  /** The rows are not this device's to keep any more; what was made here stays. */
  retire(): Promise<void>
}
