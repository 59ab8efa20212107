import { CLOCK_KNOWN_WITHIN_MS } from '../../domain/contract'
import { type ClockStamp, newId } from '../browser/clock'

/** This browser as the server knows it. `letter` and `epoch` are null until the server has answered. */
export interface Device {
  id: string
  letter: string | null
  /** The epoch of the server's history the device was made known in. */
  epoch: string | null
  /** The owner signed this device off, or the membership ended: it hands in what it holds and forgets the rest. */
  retired: boolean
  /** This phone's data was copied from another, so it has a new identity and numbers its commands from 1. */
  forked: boolean
}

export function freshDevice({ forked = false } = {}): Device {
  return { id: newId(), letter: null, epoch: null, retired: false, forked }
}

/** A snapshot being fetched: where to go on, the cursor to pull from when done, and its generation. */
export interface SnapshotProgress {
  after: string | null
  cursor: string
  generation: number
}

/** An exchange with the server: at `server` by its clock, give or take `within_ms`, this phone's showed the stamp. */
export interface Contact extends ClockStamp {
  /** The number the next command was to get. */
  no: number
  server: string
  within_ms: number
}

/** How far this phone's clock was ahead at the last exchange, in ms; null before the first. */
export function clockAheadMs(contacts: readonly Contact[] | undefined): number | null {
  const last = contacts?.at(-1)
  if (!last) return null
  const ahead_ms = Date.parse(last.wall) - Date.parse(last.server)
  return Math.abs(ahead_ms) <= CLOCK_KNOWN_WITHIN_MS ? 0 : ahead_ms
}

/** Single values of a member's database, by key. */
export interface Meta {
  device: Device
  /** The number the next command gets. */
  next_no: number
  /** How many jobs and quotes got a provisional mark from this device. */
  marks: number
  cursor: string
  snapshot: SnapshotProgress
  /** The generation of the rows last fetched whole; absent until that has happened once. */
  generation: number
  /** Up to here a backup of the server holds this device's commands. */
  safe_no: number
  last_synced_at: string
  contacts: readonly Contact[]
}

export interface ReadsMeta {
  objectStore(name: 'meta'): { get(key: keyof Meta): Promise<Meta[keyof Meta] | undefined> }
}

export interface WritesMeta {
  objectStore(name: 'meta'): { put(value: Meta[keyof Meta], key: keyof Meta): Promise<unknown> }
}

export async function readMeta<Key extends keyof Meta>(
  tx: ReadsMeta,
  key: Key,
): Promise<Meta[Key] | undefined> {
  return (await tx.objectStore('meta').get(key)) as Meta[Key] | undefined
}

export async function writeMeta<Key extends keyof Meta>(
  tx: WritesMeta,
  key: Key,
  value: Meta[Key],
): Promise<void> {
  await tx.objectStore('meta').put(value, key)
}

/** The device, which is there from the moment the database was made. */
export async function deviceIn(tx: ReadsMeta): Promise<Device> {
  const device = await readMeta(tx, 'device')
  if (!device) throw new TypeError('a database is made with a device in it')
  return device
}
