import type { Kind, Row } from '../../domain/contract'
import type { Device, FirstRowsProgress, SnapshotProgress } from '../database/meta'
import type { CommandAnswer, OutboxEntry } from '../queue/entry'

/** The outcome of one command, as the server recorded it. */
export interface Outcome extends CommandAnswer {
  id: string
}

export interface Registration {
  letter: string
  epoch: string
}

export type RowsByKind = { readonly [kind in Kind]?: readonly Row[] }

/** A page of what a new phone needs first: open work and whom it is about. Everything comes with the snapshot. */
export interface WorkingSetPage {
  rows: RowsByKind
  /** The position of the next page; null on the last. */
  after: string | null
}

export interface SnapshotPage {
  rows: RowsByKind
  /** The position of the next page; null on the last. */
  after: string | null
  /** The cursor to pull from after all pages; only that of the first page counts. */
  cursor: string
  /** About how many rows all pages have; null where the server does not say. */
  total: number | null
}

export interface Page {
  rows: RowsByKind
  gone: readonly (readonly [Kind, string])[]
  /** The last number of each device's commands that are in these rows or were refused. */
  acks: Readonly<Record<string, number>>
  cursor: string
  more: boolean
  /** The last number of this device's commands that a backup of the server holds. */
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
  workingSet(device_id: string, after: string | null): Promise<WorkingSetPage>
  snapshot(device_id: string, after: string | null): Promise<SnapshotPage>
  /** The outcome of a command; null when the server does not have it. */
  outcome(command_id: string): Promise<Outcome | null>
}

export interface SyncPosition {
  device: Device
  cursor: string | null
  snapshot: SnapshotProgress | null
  /** Whether there were all rows of the shop at some time. */
  complete: boolean
  /** How far the first rows of a new phone have come; null: not asked for. */
  first: FirstRowsProgress | null
}

/**
 * This phone. Each call is one transaction, or several small ones of which the last moves the cursor: a phone that dies
 * in between continues where it was. A page from another position than the stored one is discarded: the rows were wiped
 * or renewed meanwhile.
 */
export interface LocalPort {
  read(): Promise<SyncPosition>
  saveRegistration(registered: Registration): Promise<void>
  /** The commands the server may not have, from a number on, in order. */
  unsent(from_no: number): Promise<OutboxEntry[]>
  held(): Promise<OutboxEntry[]>
  noteSent(ids: readonly string[]): Promise<void>
  saveOutcomes(outcomes: readonly Outcome[]): Promise<void>
  /** Rows that are shown before the snapshot is complete, and replaced by it. */
  saveWorkingSetPage(page: WorkingSetPage, before: FirstRowsProgress | null): Promise<void>
  saveSnapshotPage(page: SnapshotPage, before: SnapshotProgress | null): Promise<void>
  /** Requests a new snapshot; the present rows stay until then. */
  requestSnapshot(): Promise<void>
  /** The last page removes applied commands from the outbox: their effect is in the rows. */
  savePage(page: Page, from_cursor: string): Promise<void>
  /** The server has nothing newer, so applied commands are in the rows already. */
  savePullWithoutChanges(): Promise<void>
  /** Marks answered commands from a number on for sending again: the server has lost them. */
  resubmit(from_no: number): Promise<void>
  /** The device gets a new identity and numbers what is unsent from 1. */
  resetDevice(): Promise<void>
  /** Deletes the server's rows from a signed-off device; unsent work stays. */
  retire(): Promise<void>
}
