import type { Command } from '../../domain/contract'

/**
 * waiting: not sent yet. sent: on its way, the answer is not known. applied: the server has it. held: the
 * server keeps it, a person must look. rejected: the server said no.
 */
export type EntryStatus = 'waiting' | 'sent' | 'applied' | 'held' | 'rejected'

export interface FieldFault {
  field: string
  code: string
  words: string
}

/** What the server said of a command. */
export interface CommandAnswer {
  status: Extract<EntryStatus, 'applied' | 'held' | 'rejected'>
  /** Why it was held or rejected: the server's code, its words, and the fields at fault. */
  code: string | null
  words: string | null
  /** The sentence of `words` by its code in the server's catalogs, and the values it names; older apps kept neither. */
  message?: string
  context?: Readonly<Record<string, number | string>>
  fields: readonly FieldFault[]
  /** The command that changed the same row last before this one, and that row's number if it has one. */
  after?: string | null
  number?: string | null
  /** How far it found this phone's clock to be ahead when this was written, or may have been. */
  skew_ms?: number | null
  or_skew_ms?: number | null
  /** The server's signature on this; without it the server does not believe that it said so. */
  seal?: string
}

/** A command in the outbox, with what became of it so far. */
export type OutboxEntry = Command & {
  /** Names the command for good, wherever and however often it is sent. */
  id: string
  /** Without gaps on one device, from 1. */
  no: number
  device_id: string
  /** The version of the command's arguments. */
  v: number
  /** The phone's clock, the same clock without jumps since the page opened, and which opening that was. */
  wall: string
  mono_ms: number
  session: string
  /** How far its clock was ahead of the server's, as far as it knew, in ms; an older version kept none. */
  ahead_ms?: number
  /** Names of what it is about, as they were then: the customer, the machine, the mark of the job. */
  made_words: string
  status: EntryStatus
  tries: number
  /** What the server said of it before it was restored from a backup; it is sent along. */
  earlier?: CommandAnswer | null
} & Omit<CommandAnswer, 'status'>

/** The screen shows what these would do; of a held or rejected one it shows the server's truth. */
export function isPending(entry: OutboxEntry): boolean {
  return entry.status === 'waiting' || entry.status === 'sent' || entry.status === 'applied'
}

/** In the order they were made: by number, those of a former numbering of this device first. */
export function sortedByNumber(entries: readonly OutboxEntry[], device_id: string): OutboxEntry[] {
  const former = (entry: OutboxEntry) => (entry.device_id === device_id ? 1 : 0)
  return entries.toSorted((a, b) => former(a) - former(b) || a.no - b.no)
}

/** As it is sent again to a server that may have lost it, with what that server had said of it. */
export function toResend(entry: OutboxEntry): OutboxEntry {
  if (isUnsent(entry)) return entry
  const { status, code, words, message, context, fields, after, number, skew_ms, or_skew_ms, seal } = entry
  const sentence = message === undefined ? {} : { message, context }
  const said = {
    status,
    code,
    words,
    ...sentence,
    fields,
    after,
    number,
    skew_ms,
    or_skew_ms,
    seal,
  } as CommandAnswer
  // What waits to be put back was applied before: that still holds.
  const earlier = (status === 'held' && entry.earlier) || said
  return { ...entry, status: 'waiting', code: null, words: null, fields: [], earlier }
}

/** The server may not have these yet. */
export function isUnsent(entry: OutboxEntry): boolean {
  return entry.status === 'waiting' || entry.status === 'sent'
}
