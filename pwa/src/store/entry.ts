import type { Command } from '../domain/commands'

/**
 * waiting: not sent yet. sent: on its way, the answer is not known. applied: the server has it. held: the
 * server keeps it, a person must look. rejected: the server said no.
 */
export type Status = 'waiting' | 'sent' | 'applied' | 'held' | 'rejected'

export interface FieldFault {
  field: string
  code: string
  words: string
}

/** A command in the outbox, with what became of it so far. */
export type Entry = Command & {
  /** Names the command for good, wherever and however often it is sent. */
  id: string
  /** Without gaps on one device, from 1. */
  no: number
  device_id: string
  v: 1
  /** The phone's clock, the same clock without jumps since the page opened, and which opening that was. */
  wall: string
  mono_ms: number
  session: string
  /** Names of what it is about, as they were then: the owner, the machine, the mark of the job. */
  made_words: string
  status: Status
  /** Why it was held or rejected: the server's code, its words, and the fields at fault. */
  code: string | null
  words: string | null
  fields: readonly FieldFault[]
  tries: number
}

/** The screen shows what these would do; of a held or rejected one it shows the server's truth. */
export function isPending(entry: Entry): boolean {
  return entry.status === 'waiting' || entry.status === 'sent' || entry.status === 'applied'
}

/** In the order they were made: by number, those of a former numbering of this device first. */
export function inOrder(entries: readonly Entry[], device_id: string): Entry[] {
  const former = (entry: Entry) => (entry.device_id === device_id ? 1 : 0)
  return entries.toSorted((a, b) => former(a) - former(b) || a.no - b.no)
}

/** The server may not have these yet. */
export function isUnsent(entry: Entry): boolean {
  return entry.status === 'waiting' || entry.status === 'sent'
}
