import { CLOCK_KNOWN_WITHIN_MS } from '../../domain/contract'
import { type ClockStamp, newId } from '../browser/clock'

/** This browser as the server knows it. `letter` and `epoch` are null until the server has answered. */
export interface Device {
  id: string
  letter: string | null
  /** The epoch of the server's history in which the device was registered. */
  epoch: string | null
  /** The owner signed this device off, or the membership ended: it uploads its queue and erases the rest. */
  retired: boolean
  /** The data was copied from another phone, so this device has a new identity and numbers its commands from 1. */
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
  /** How many rows have come, and about how many there are; absent in what earlier builds stored. */
  fetched?: number
  total?: number | null
}

/** The first rows of a new phone being fetched: where to go on, null when all have come. */
export interface FirstRowsProgress {
  after: string | null
}

/** An exchange: when the server's clock showed `server`, give or take `within_ms`, the phone's showed the stamp. */
export interface Contact extends ClockStamp {
  /** The number of the next command then. */
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
  /** The number of provisional marks of jobs and quotes from this device. */
  marks: number
  cursor: string
  snapshot: SnapshotProgress
  /** Absent before the first rows of a new phone are asked for. */
  first: FirstRowsProgress
  /** The generation of the last full snapshot; absent before the first. */
  generation: number
  /** The last number of this device's commands that a backup of the server holds. */
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

/** The device, which exists from the creation of the database on. */
export async function deviceIn(tx: ReadsMeta): Promise<Device> {
  const device = await readMeta(tx, 'device')
  if (!device) throw new TypeError('a database is made with a device in it')
  return device
}
