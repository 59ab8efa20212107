import { type ReadonlySignal, signal } from '@preact/signals'
import { readStored, writeStored } from '../browser/safeStorage'
import { type DeviceStatus, readAll, readKeys } from '../database/dbReads'
import { restoreEvicted } from '../database/deviceReset'
import { currentDraft } from '../database/formerDrafts'
import { type Device, deviceIn, readMeta } from '../database/meta'
import {
  clearRows,
  type DraftRecord,
  databaseName,
  type PendingUpload,
  ShopDatabase,
  type ShopMember,
  type Tx,
} from '../database/shopDatabase'
import { saveTrouble } from '../database/storageStatus'
import { clearUploaded, readUploads } from '../pictures/pictureStore'
import { eraseShared } from '../pictures/sharedCache'
import { isPending, type OutboxEntry } from '../queue/entry'
import { findLost, type UnsentNote } from '../queue/unsentNote'
import { hasReplays, loadReplays } from '../replay/replay'
import { type RowKey, RowsView, type StoredRows } from '../rows/view'
import { type SyncStatus, TabChannel, type TabMessage } from '../sync/tabChannel'

/** The longest wait for the replay code of pending commands. */
const LONGEST_WAIT_MS = 2_000

export const IDLE_STATUS: SyncStatus = { signal: 'unknown', working: false, stopped: null, no_room: false }

/** The open shop of the signed-in member. */
export class ShopSession {
  readonly who: ShopMember
  readonly db: ShopDatabase
  readonly view: RowsView
  readonly channel: TabChannel
  readonly deviceStatus: ReadonlySignal<DeviceStatus>
  readonly syncStatus = signal<SyncStatus>(IDLE_STATUS)
  /** The pictures taken here that the server has not processed yet, oldest first. */
  readonly sending = signal<readonly PendingUpload[]>([])
  /** Drafts, by the form's name. */
  readonly drafts = signal<ReadonlyMap<string, DraftRecord>>(new Map())
  /** Changes of drafts that are not stored yet; null: to be deleted. */
  readonly unwritten = new Map<string, DraftRecord | null>()
  /** The `localStorage` key for changes that a closing page could not store. */
  readonly lateDraftsKey: string
  /** Unsent work from before the browser cleared the storage that is not known to have arrived. */
  readonly lost = signal<UnsentNote | null>(null)
  /** The member has signed out in another tab. */
  readonly signedOutElsewhere = signal(false)
  private readonly currentStatus
  private lastTask: Promise<unknown> = Promise.resolve()
  private dueKeys: RowKey[] | null = null

  constructor(who: ShopMember, db: ShopDatabase, device: Device) {
    this.who = who
    this.db = db
    this.currentStatus = signal<DeviceStatus>({
      device,
      ready: false,
      complete: false,
      fetched: 0,
      total: null,
      last_synced_at: null,
      ahead_ms: null,
    })
    this.deviceStatus = this.currentStatus
    this.view = new RowsView({ member_id: who.member_id, device_id: device.id })
    this.lateDraftsKey = `drawbar.drafts ${db.name}`
    this.readLateDrafts()
    this.channel = new TabChannel(db.name, (message) => this.onMessage(message))
  }

  /** Runs tasks one after another, so that a read never overtakes a save. */
  runInOrder<Result>(work: () => Promise<Result>): Promise<Result> {
    const next = this.lastTask.then(work, work)
    this.lastTask = next.catch(() => undefined)
    return next
  }

  /** Changes the outbox and related stores in one transaction, and shows the result in every tab. */
  async change(
    work: (tx: Tx<('outbox' | 'aside' | 'kept' | 'meta')[], 'readwrite'>) => Promise<void>,
  ): Promise<void> {
    await this.runInOrder(() => this.db.run('readwrite', ['outbox', 'aside', 'kept', 'meta'], work, 'strict'))
    await this.readKeysInOrder([])
    this.announceSaved()
  }

  /** Notifies the other tabs and the sync worker of a change of the outbox. */
  announceSaved(): void {
    this.channel.post({ tell: 'rows', keys: [] })
    this.wake()
  }

  wake(): void {
    this.channel.post({ tell: 'wake' })
  }

  /** Deletes the server's rows and pictures and what other apps shared from the phone. Unsent work stays. */
  async clearShop(): Promise<void> {
    this.channel.post({ tell: 'session' })
    writeStored(this.lateDraftsKey, null)
    await eraseShared()
    await this.runInOrder(() =>
      this.db.run('readwrite', ['base', 'meta', 'drafts', 'pictures', 'sending'], async (tx) => {
        await Promise.all([clearRows(tx), clearUploaded(tx)])
      }),
    )
  }

  /** Called when the page is left, perhaps into the back/forward cache: closes everything that the next page needs. */
  async pause(): Promise<void> {
    this.channel.close()
    // Chromium runs `pagehide` listeners in the order of registration.
    if (this.unwritten.size) writeStored(this.lateDraftsKey, JSON.stringify([...this.unwritten]))
    this.unwritten.clear()
    // A page that does not listen cannot know whether the server answers.
    this.syncStatus.value = IDLE_STATUS
    await this.db.close()
  }

  /** Called when the page is shown again: reads missed changes. */
  async resume(): Promise<void> {
    this.channel.open()
    this.readLateDrafts()
    await this.readAll()
  }

  /** Deletes all of this member's data on the phone. */
  async readAll(): Promise<void> {
    await Promise.all([this.readRowsAndOutbox(), this.readSending(), this.readDrafts()])
  }

  readRowsAndOutbox(): Promise<void> {
    return this.runInOrder(async () => {
      const reading = await this.readComplete(() => readAll(this.db))
      this.view.replaceAll(reading)
      this.setStatus(reading)
    })
  }

  /** Saves new entries by `work`, after restoring those that an eviction of the storage may have removed. */
  save(work: () => Promise<OutboxEntry[]>): Promise<OutboxEntry[]> {
    return this.runInOrder(async () => {
      const device = await this.db.run('readonly', ['meta'], deviceIn)
      if (device.id !== this.currentStatus.peek().device.id) await this.readNow([])
      const entries = await work()
      await this.ensureReplays(entries)
      this.view.append(entries)
      return entries
    })
  }

  async readSending(): Promise<void> {
    this.sending.value = await readUploads(this.db)
  }

  private readLateDrafts(): void {
    for (const [name, draft] of JSON.parse(readStored(this.lateDraftsKey) ?? '[]'))
      if (draft) this.renameDraft(draft)
      else this.unwritten.set(name, null)
  }

  /** Keeps a draft under the name that its form has in this build. */
  private renameDraft(former: DraftRecord): void {
    const draft = currentDraft(former)
    if (draft.name !== former.name) this.unwritten.set(former.name, null)
    this.unwritten.set(draft.name, draft)
  }

  async readDrafts(): Promise<void> {
    const stored = await this.db.run('readonly', ['drafts'], (tx) => tx.objectStore('drafts').getAll())
    const renamed = stored.filter((draft) => currentDraft(draft).name !== draft.name)
    for (const draft of renamed) if (!this.unwritten.has(draft.name)) this.renameDraft(draft)
    const drafts = new Map(stored.map((draft) => [draft.name, currentDraft(draft)]))
    for (const [name, draft] of this.unwritten) draft ? drafts.set(name, draft) : drafts.delete(name)
    this.drafts.value = drafts
  }

  /** Announces an added or removed picture to every tab and the sync worker. */
  async announcePictures(): Promise<void> {
    await this.readSending()
    this.channel.post({ tell: 'pictures' })
    this.wake()
  }

  private readKeysInOrder(keys: readonly RowKey[]): Promise<void> {
    return this.runInOrder(() => this.readNow(keys))
  }

  /** Changes announced during a read are read together afterwards. */
  private async readSoon(keys: readonly RowKey[]): Promise<void> {
    if (this.dueKeys) {
      this.dueKeys.push(...keys)
      return
    }
    this.dueKeys = [...keys]
    await this.runInOrder(async () => {
      const due = this.dueKeys ?? []
      this.dueKeys = null
      await this.readNow(due)
    })
  }

  private async readNow(keys: readonly RowKey[]): Promise<void> {
    const reading = await this.readComplete(() => readKeys(this.db, keys))
    this.view.refresh(reading)
    // Rows in memory stay usable even if the browser has evicted them from the storage.
    const { ready, complete } = this.currentStatus.peek()
    this.setStatus({
      ...reading,
      ready: reading.ready || ready,
      complete: reading.complete || complete,
    })
  }

  /** A read that includes everything saved on this page and not sent yet, ready to be shown. */
  private async readComplete<R extends DeviceStatus & StoredRows>(read: () => Promise<R>): Promise<R> {
    let reading = await read()
    if (reading.device.id !== this.currentStatus.peek().device.id)
      if ((await restoreEvicted(this.db, this.view.outbox.peek())) > 0) reading = await read()
    await this.ensureReplays(reading.outbox)
    return reading
  }

  /**
   * Waits for the replay code of these commands, so that no row is shown without their effect. After a time limit the
   * rest is shown, and these as soon as their code is loaded.
   */
  private async ensureReplays(outbox: readonly OutboxEntry[]): Promise<void> {
    const pending = outbox.filter(isPending)
    if (hasReplays(pending)) return
    const loading = loadReplays(pending)
    await Promise.race([loading, new Promise((resolve) => setTimeout(resolve, LONGEST_WAIT_MS))])
    if (!hasReplays(pending)) void loading.then(() => (hasReplays(pending) ? this.readSoon([]) : undefined))
  }

  private setStatus(read: DeviceStatus): void {
    const { device, ready, complete, fetched, total, last_synced_at, ahead_ms } = read
    this.currentStatus.value = { device, ready, complete, fetched, total, last_synced_at, ahead_ms }
  }

  /** Handles a message of another tab or the sync worker. */
  onMessage(message: TabMessage): void {
    if (message.tell === 'rows') void this.readSoon(message.keys)
    else if (message.tell === 'everything') void this.readAll()
    else if (message.tell === 'drafts') void this.readDrafts()
    else if (message.tell === 'pictures') void this.readSending()
    else if (message.tell === 'pulse') {
      this.syncStatus.value = message.pulse
      if (message.pulse.no_room) saveTrouble.value = 'no_room'
    } else if (message.tell === 'session') this.signedOutElsewhere.value = true
  }
}

export const shopSession = signal<ShopSession | null>(null)

/** @throws Error when nobody is signed in: a screen that needs the shop is shown only to a member. */
export function requireShopSession(): ShopSession {
  const found = shopSession.value
  if (found === null) throw new Error('no shop is open')
  return found
}

export async function openShop(who: ShopMember): Promise<ShopSession> {
  const db = new ShopDatabase(databaseName(who))
  const [device, next_no] = await db.run('readonly', ['meta'], (tx) =>
    Promise.all([deviceIn(tx), readMeta(tx, 'next_no')]),
  )
  const shop = new ShopSession(who, db, device)
  shop.lost.value = findLost(db.name, device.id, next_no === undefined)
  if (shop.lost.peek())
    void import('../queue/lostWork').then(
      ({ watchLost }) => watchLost(shop),
      () => undefined,
    )
  await shop.readAll()
  shopSession.value = shop
  return shop
}

export async function closeShop(): Promise<void> {
  const shop = shopSession.peek()
  shopSession.value = null
  shop?.channel.close()
  await shop?.db.close()
}
