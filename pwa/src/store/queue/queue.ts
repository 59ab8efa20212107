import { computed, effect, type ReadonlySignal } from '@preact/signals'
import type { PendingUpload } from '../database/shopDatabase'
import { noteSaveError } from '../database/storageStatus'
import { compare } from '../rows/selectors'
import { IDLE_STATUS, requireShopSession, type ShopSession, shopSession } from '../session/shopSession'
import type { SyncStatus } from '../sync/tabChannel'
import { isUnsent, type OutboxEntry } from './entry'
import { appendWithin } from './outbox'
import { noteUnsent } from './unsentNote'

/** Every command not yet acknowledged by a pull, and those that need a person, in order of number. */
export const queue = computed((): readonly OutboxEntry[] => shopSession.value?.view.outbox.value ?? [])

/** The pictures taken here whose upload is not complete, oldest first. */
export const unsentPictures = computed((): readonly PendingUpload[] =>
  (shopSession.value?.sending.value ?? []).filter(({ sent, bytes, unsaid }) => sent < bytes && !unsaid),
)

const isStuck = ({ trouble }: PendingUpload) => trouble !== null

export interface SyncSummary extends SyncStatus {
  /** Commands the server may not have yet. */
  waiting: number
  /** Pictures to be uploaded, and those of them that cannot be sent. */
  pictures: number
  stuck: number
  held: number
  refused: number
  /** Unsent work when the browser cleared the storage, which may not have arrived. */
  lost: number
  last_synced_at: string | null
  /** There are rows to work with: at least open work and whom it is about. */
  ready: boolean
  /** All rows of the shop were fetched at least once: only then do searches and sums cover everything. */
  complete: boolean
  /** How many rows have come and about how many there are, while the first snapshot is fetched. */
  fetched: number
  total: number | null
  /** This device's letter; null until the server has answered. */
  letter: string | null
  forked: boolean
}

export const syncSummary: ReadonlySignal<SyncSummary> = computed(() => {
  const shop = shopSession.value
  const pulse = shop?.syncStatus.value ?? IDLE_STATUS
  const status = shop?.deviceStatus.value
  const lost = shop?.lost.value
  return {
    ...pulse,
    waiting: queue.value.filter(isUnsent).length,
    pictures: unsentPictures.value.length,
    stuck: unsentPictures.value.filter(isStuck).length,
    held: queue.value.filter((entry) => entry.status === 'held').length,
    refused: queue.value.filter((entry) => entry.status === 'rejected').length,
    lost: lost ? lost.unsent.length + lost.pictures.length : 0,
    last_synced_at: status?.last_synced_at ?? null,
    ready: status?.ready ?? false,
    complete: status?.complete ?? false,
    fetched: status?.fetched ?? 0,
    total: status?.total ?? null,
    letter: status?.device.letter ?? null,
    forked: status?.device.forked ?? false,
  }
})

effect(() => {
  const shop = shopSession.value
  if (!shop) return
  const pictures = unsentPictures.value.map(({ id }) => id)
  noteUnsent(shop.db.name, shop.deviceStatus.value.device.id, queue.value.filter(isUnsent), pictures)
})

/** Syncs now instead of at the next round. */
export function syncNow(): void {
  shopSession.value?.wake()
}

/** Sends a refused command again as a new one; the old one is discarded. */
export function retryRejected(id: string): Promise<void> {
  return changeOutbox(async (tx) => {
    const entry = await tx.objectStore('outbox').get(id)
    if (entry?.status !== 'rejected') return
    await tx.objectStore('outbox').delete(id)
    await tx.objectStore('aside').put(entry)
    await appendWithin(tx, [entry])
  })
}

/** Discards a refused or held command. It can be restored. */
export function dismissEntry(id: string): Promise<void> {
  return changeOutbox(async (tx) => {
    const entry = await tx.objectStore('outbox').get(id)
    if (entry?.status !== 'rejected' && entry?.status !== 'held') return
    await tx.objectStore('outbox').delete(id)
    await tx.objectStore('aside').put(entry)
  })
}

/** Undoes `dismiss`. */
export function restoreEntry(id: string): Promise<void> {
  return changeOutbox(async (tx) => {
    const entry = await tx.objectStore('aside').get(id)
    if (!entry) return
    await tx.objectStore('aside').delete(id)
    await tx.objectStore('outbox').put(entry)
  })
}

async function changeOutbox(work: Parameters<ShopSession['change']>[0]): Promise<void> {
  try {
    await requireShopSession().change(work)
  } catch (error) {
    noteSaveError(error)
    throw error
  }
}

/** Discarded commands, newest first. */
export async function dismissedEntries(): Promise<OutboxEntry[]> {
  const entries = await requireShopSession().db.run('readonly', ['aside'], (tx) =>
    tx.objectStore('aside').getAll(),
  )
  return entries.sort((a, b) => compare(b.id, a.id))
}

/** Everything that the server may not have, as text to copy or to save as a file. */
export function queueAsText(): string {
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
