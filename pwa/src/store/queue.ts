import { computed, type ReadonlySignal } from '@preact/signals'
import type { Pulse } from './channel'
import type { Sending } from './db'
import { type Entry, isUnsent } from './entry'
import { AT_REST, current, type Opened, opened } from './opened'
import { appendIn } from './outbox'
import { compare } from './shown'
import { noteTrouble } from './storage'

/** Every command not yet seen back from the server, and those that need a person, in order of number. */
export const queue = computed((): readonly Entry[] => opened.value?.view.outbox.value ?? [])

/** The pictures taken here of which the server does not have every byte yet, oldest first. */
export const unsentPictures = computed((): readonly Sending[] =>
  (opened.value?.sending.value ?? []).filter(({ sent, bytes, unsaid }) => sent < bytes && !unsaid),
)

const stuck = ({ trouble }: Sending) => trouble !== null

export interface QueueStatus extends Pulse {
  /** Commands the server may not have yet. */
  waiting: number
  /** Pictures the server does not have whole, and those of them that cannot be sent as they are. */
  pictures: number
  stuck: number
  held: number
  refused: number
  last_synced_at: string | null
  /** The shop's rows have come whole at least once. */
  ready: boolean
  /** What this device is called by the server: its letter, null until it has answered. */
  letter: string | null
  forked: boolean
}

export const status: ReadonlySignal<QueueStatus> = computed(() => {
  const shop = opened.value
  const pulse = shop?.pulse.value ?? AT_REST
  const standing = shop?.standing.value
  return {
    ...pulse,
    waiting: queue.value.filter(isUnsent).length,
    pictures: unsentPictures.value.length,
    stuck: unsentPictures.value.filter(stuck).length,
    held: queue.value.filter((entry) => entry.status === 'held').length,
    refused: queue.value.filter((entry) => entry.status === 'rejected').length,
    last_synced_at: standing?.last_synced_at ?? null,
    ready: standing?.ready ?? false,
    letter: standing?.device.letter ?? null,
    forked: standing?.device.forked ?? false,
  }
})

/** Sends now instead of at the next turn. */
export function tryNow(): void {
  opened.value?.wake()
}

/** Sends a refused command once more, as a new one; the old one is put aside. */
export function tryAgain(id: string): Promise<void> {
  return changing(async (tx) => {
    const entry = await tx.objectStore('outbox').get(id)
    if (entry?.status !== 'rejected') return
    await tx.objectStore('outbox').delete(id)
    await tx.objectStore('aside').put(entry)
    await appendIn(tx, [entry])
  })
}

/** Lets a refused or held command go. It stays among those put aside. */
export function dismiss(id: string): Promise<void> {
  return changing(async (tx) => {
    const entry = await tx.objectStore('outbox').get(id)
    if (entry?.status !== 'rejected' && entry?.status !== 'held') return
    await tx.objectStore('outbox').delete(id)
    await tx.objectStore('aside').put(entry)
  })
}

/** Undoes `dismiss`. */
export function bringBack(id: string): Promise<void> {
  return changing(async (tx) => {
    const entry = await tx.objectStore('aside').get(id)
    if (!entry) return
    await tx.objectStore('aside').delete(id)
    await tx.objectStore('outbox').put(entry)
  })
}

async function changing(work: Parameters<Opened['change']>[0]): Promise<void> {
  try {
    await current().change(work)
  } catch (error) {
    noteTrouble(error)
    throw error
  }
}

/** Those put aside, newest first. */
export async function putAside(): Promise<Entry[]> {
  const entries = await current().db.run('readonly', ['aside'], (tx) => tx.objectStore('aside').getAll())
  return entries.sort((a, b) => compare(b.id, a.id))
}

/** Everything not safely with the server, as text to copy or to keep as a file. */
export function copyOut(): string {
  return JSON.stringify(
    queue.value.map(({ no, id, name, v, args, wall, made_words, status: state, words }) => ({
      no,
      id,
      name,
      v,
      about: made_words,
      written: wall,
      state,
      because: words,
      args,
    })),
    null,
    2,
  )
}
