/** Drafts: input of unsaved forms, stored on the phone shortly after each change. */

import { writeStored } from './browser/safeStorage'
import { currentDraft } from './database/formerDrafts'
import type { DraftRecord, PictureRecord } from './database/shopDatabase'
import { noteSaveError } from './database/storageStatus'
import { formPicturesOf } from './pictures/attachments'
import { dropPictureWithin } from './pictures/pictureStore'
import { requireShopSession, type ShopSession, shopSession } from './session/shopSession'

/** The delay before input is stored, so the most that a dead battery loses. */
const WRITE_AFTER_MS = 400

export const draftOf = (name: string): DraftRecord | undefined => {
  adoptOldDrafts()
  return shopSession.peek()?.drafts.peek().get(name)
}

export function keepDraft(draft: DraftRecord): void {
  change(draft.name, draft)
}

/** Deletes the draft of a form that was saved or emptied. */
export function dropDraft(name: string): Promise<void> {
  change(name, null)
  return flushDrafts()
}

/** Discards a draft with its pictures. Returns the undo. */
export async function discardDraft(draft: DraftRecord): Promise<() => Promise<void>> {
  const shop = requireShopSession()
  const sending = formPicturesOf(draft.name)
  const pictures = await shop.db.run('readwrite', ['pictures', 'sending'], async (tx) => {
    const kept: PictureRecord[] = []
    for (const { id } of sending) {
      const both = IDBKeyRange.bound([id], [id, []])
      kept.push(...(await tx.objectStore('pictures').getAll(both)))
      await dropPictureWithin(tx, id)
    }
    return kept
  })
  await dropDraft(draft.name)
  if (sending.length) await shop.announcePictures()
  return async () => {
    await shop.db.run('readwrite', ['pictures', 'sending'], async (tx) => {
      for (const picture of pictures) await tx.objectStore('pictures').put(picture)
      for (const each of sending) await tx.objectStore('sending').put(each)
    })
    keepDraft(draft)
    await flushDrafts()
    if (sending.length) await shop.announcePictures()
  }
}

const OLD_PREFIX = 'draft:'

/** The address of a form of an older version, by the beginning of its name. */
const OLD_PATHS: Readonly<Record<string, string>> = {
  'new-job': '/new-job',
  complaint: '/jobs/*/complaint',
  customer: '/customers/*/edit',
  hand: '/stops/*/hand',
}

const adopted = new WeakSet<ShopSession>()

/**
 * Imports drafts of older versions of the app: text in `sessionStorage`, which ends with the window, and pictures whose
 * text was lost with it.
 */
export function adoptOldDrafts(): void {
  const shop = shopSession.peek()
  if (!shop || adopted.has(shop)) return
  adopted.add(shop)
  void flushDrafts()
  for (const key of Object.keys(sessionStorage).filter((each) => each.startsWith(OLD_PREFIX))) {
    adoptOldDraft(key.slice(OLD_PREFIX.length), JSON.parse(sessionStorage.getItem(key) ?? '{}') as object)
    sessionStorage.removeItem(key)
  }
  for (const { id, unsaid } of shop.sending.peek())
    if (unsaid && !shop.view.peek('attachment', id)) adoptOldDraft(unsaid.form, {})
}

function adoptOldDraft(name: string, fields: object): void {
  const { drafts, view } = requireShopSession()
  if (drafts.peek().has(name)) return
  const [form = '', id = ''] = name.split(':')
  const made = form === 'finding' && (view.peek('finding', id) ? '/findings/*' : '/jobs/*/finding')
  const path = ((made || OLD_PATHS[form]) ?? '').replace('*', id)
  keepDraft(currentDraft({ name, fields, path, title: '', over: '', typed_at: Date.now() }))
}

let timer: ReturnType<typeof setTimeout> | undefined

function change(name: string, draft: DraftRecord | null): void {
  const shop = shopSession.peek()
  if (!shop) return
  const drafts = new Map(shop.drafts.peek())
  if (draft) drafts.set(name, draft)
  else drafts.delete(name)
  shop.drafts.value = drafts
  shop.unwritten.set(name, draft)
  timer ??= setTimeout(() => void flushDrafts(), WRITE_AFTER_MS)
}

let writing: { abort(): void } | null = null

/** Stores pending input now. A signed-off phone stores nothing. */
export async function flushDrafts(): Promise<void> {
  clearTimeout(timer)
  timer = undefined
  const shop = shopSession.peek()
  const changed = [...(shop?.unwritten ?? [])]
  if (!shop || !changed.length) return
  const { retired } = shop.deviceStatus.peek().device
  try {
    await shop.db.run(
      'readwrite',
      ['drafts'],
      async (tx) => {
        writing = tx
        const drafts = tx.objectStore('drafts')
        const written = changed.map(([name, draft]) =>
          draft && !retired ? drafts.put(draft) : drafts.delete(name),
        )
        await Promise.all(written)
      },
      'relaxed',
    )
    for (const [name, draft] of changed) if (shop.unwritten.get(name) === draft) shop.unwritten.delete(name)
    if (!shop.unwritten.size) writeStored(shop.lateDraftsKey, null)
    shop.channel.post({ tell: 'drafts' })
  } catch (error) {
    if (!(error instanceof DOMException && error.name === 'AbortError')) noteSaveError(error)
  } finally {
    writing = null
  }
}

/** Stores the last input when the page is left, before its database is closed for the next page. */
export function savePendingOnPageEnd(): void {
  addEventListener(
    'pagehide',
    () => {
      writeToLocalStorage()
      try {
        writing?.abort()
      } catch {
        // Already closed, as intended.
      }
    },
    { capture: true },
  )
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') writeToLocalStorage()
  })
}

/**
 * A closing page may lose writes to IndexedDB, and one in WebKit's back/forward cache keeps its transaction open, on
 * which the next page would wait. `localStorage` is written at once.
 */
function writeToLocalStorage(): void {
  const shop = shopSession.peek()
  if (!shop?.unwritten.size) return
  writeStored(shop.lateDraftsKey, JSON.stringify([...shop.unwritten]))
}
