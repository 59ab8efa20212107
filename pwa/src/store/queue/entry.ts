import type { Command } from '../../domain/contract'

/**
 * waiting: not sent yet. sent: sent, without an answer yet. applied: the server has executed it. held: the server has
 * stored it, a person must look. rejected: the server has refused it.
 */
export type EntryStatus = 'waiting' | 'sent' | 'applied' | 'held' | 'rejected'

export interface FieldFault {
  field: string
  code: string
  words: string
}

/** The server's outcome of a command. */
export interface CommandAnswer {
  status: Extract<EntryStatus, 'applied' | 'held' | 'rejected'>
  /** Why it was held or rejected: the server's code, its sentence, and the fields at fault. */
  code: string | null
  words: string | null
  /** The catalog code of the sentence in `words`, and its values; older apps stored neither. */
  message?: string
  context?: Readonly<Record<string, number | string>>
  fields: readonly FieldFault[]
  /** The command that changed the same row last before this one, and that row's number if it has one. */
  after?: string | null
  number?: string | null
  /** The server's estimate of this phone's clock skew when this was written, and the other possible value. */
  skew_ms?: number | null
  or_skew_ms?: number | null
  /** The server's signature on this; without it the server ignores it after a restore. */
  seal?: string
}

/** A command in the outbox, with its outcome so far. */
export type OutboxEntry = Command & {
  /** The command's id, the same however often it is sent. */
  id: string
  /** Without gaps on one device, from 1. */
  no: number
  device_id: string
  /** The version of the command's arguments. */
  v: number
  /** The wall clock, the monotonic clock since the page opened, and the session of the latter. */
  wall: string
  mono_ms: number
  session: string
  /** The known skew of the phone's clock in ms; older versions stored none. */
  ahead_ms?: number
  /** Names of its subject at that time: the customer, the machine, the mark of the job. */
  made_words: string
  status: EntryStatus
  tries: number
  /** The outcome from before the server was restored from a backup; it is sent along. */
  earlier?: CommandAnswer | null
} & Omit<CommandAnswer, 'status'>

/** The view replays these; of held and rejected ones it shows the server's rows. */
export function isPending(entry: OutboxEntry): boolean {
  return entry.status === 'waiting' || entry.status === 'sent' || entry.status === 'applied'
}

/** In order of creation: by number, those of a former numbering of this device first. */
export function sortedByNumber(entries: readonly OutboxEntry[], device_id: string): OutboxEntry[] {
  const former = (entry: OutboxEntry) => (entry.device_id === device_id ? 1 : 0)
  return entries.toSorted((a, b) => former(a) - former(b) || a.no - b.no)
}

/** An entry to resend to a server that may have lost it, with the earlier outcome. */
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
  // One that waits for its restore was applied before, and stays so.
  const earlier = (status === 'held' && entry.earlier) || said
  return { ...entry, status: 'waiting', code: null, words: null, fields: [], earlier }
}

/** The server may not have these yet. */
export function isUnsent(entry: OutboxEntry): boolean {
  return entry.status === 'waiting' || entry.status === 'sent'
}
