import { type ReadonlySignal, signal } from '@preact/signals'
import { readStored, writeStored } from '../browser/safeStorage'
import { type DeviceStatus, readAll, readKeys } from '../database/dbReads'
import { restoreEvicted } from '../database/deviceReset'
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
import { isPending, type OutboxEntry } from '../queue/entry'
import { findLost, type UnsentNote } from '../queue/unsentNote'
import { hasReplays, loadReplays } from '../replay/replay'
import { type RowKey, RowsView, type StoredRows } from '../rows/view'
import { type SyncStatus, TabChannel, type TabMessage } from '../sync/tabChannel'

/** How long the code that replays what is pending is waited for. */
const LONGEST_WAIT_MS = 2_000

export const IDLE_STATUS: SyncStatus = { signal: 'unknown', working: false, stopped: null, no_room: false }

/** The shop's data of the member signed in here, while it is open. */
export class ShopSession {
  readonly who: ShopMember
  readonly db: ShopDatabase
  readonly view: RowsView
  readonly channel: TabChannel
  readonly deviceStatus: ReadonlySignal<DeviceStatus>
  readonly syncStatus = signal<SyncStatus>(IDLE_STATUS)
  /** The pictures taken here that the server has not made yet, oldest first. */
  readonly sending = signal<readonly PendingUpload[]>([])
  /** Forms that are not saved yet, by name. */
  readonly drafts = signal<ReadonlyMap<string, DraftRecord>>(new Map())
  /** What is not written down of them yet; null: to be taken out. */
  readonly unwritten = new Map<string, DraftRecord | null>()
  /** Under which name `localStorage` keeps what a page that ended could not write down of them any more. */
  readonly lateDraftsKey: string
  /** What was unsent when the browser cleared the storage, as far as it is not known to have arrived. */
  readonly lost = signal<UnsentNote | null>(null)
  /** The member has signed out in another tab. */
  readonly signedOutElsewhere = signal(false)
  private readonly currentStatus
  private lastTask: Promise<unknown> = Promise.resolve()
  private dueKeys: RowKey[] | null = null

  constructor(who: ShopMember, db: ShopDatabase, device: Device) {
    this.who = who
    this.db = db
    this.currentStatus = signal<DeviceStatus>({ device, ready: false, last_synced_at: null, ahead_ms: null })
    this.deviceStatus = this.currentStatus
    this.view = new RowsView({ member_id: who.member_id, device_id: device.id })
    this.lateDraftsKey = `drawbar.drafts ${db.name}`
    this.readLateDrafts()
    this.channel = new TabChannel(db.name, (told) => this.onMessage(told))
  }

  /** Runs one piece of work after another, so that a reading never overtakes a save. */
  runInOrder<Result>(work: () => Promise<Result>): Promise<Result> {
    const next = this.lastTask.then(work, work)
    this.lastTask = next.catch(() => undefined)
    return next
  }

  /** Changes the outbox and what belongs to it in one transaction, and shows the result in every tab. */
  async change(
    work: (tx: Tx<('outbox' | 'aside' | 'kept' | 'meta')[], 'readwrite'>) => Promise<void>,
  ): Promise<void> {
    await this.runInOrder(() => this.db.run('readwrite', ['outbox', 'aside', 'kept', 'meta'], work, 'strict'))
    await this.readKeysInOrder([])
    this.announceSaved()
  }

  /** Tells the other tabs, and the one that sends, that the outbox has grown or changed. */
  announceSaved(): void {
    this.channel.post({ tell: 'rows', keys: [] })
    this.wake()
  }

  wake(): void {
    this.channel.post({ tell: 'wake' })
  }

  /** Takes the server's rows and pictures off the phone. What was made here and not yet sent stays. */
  async clearShop(): Promise<void> {
    this.channel.post({ tell: 'session' })
    writeStored(this.lateDraftsKey, null)
    await this.runInOrder(() =>
      this.db.run('readwrite', ['base', 'meta', 'drafts', 'pictures', 'sending'], async (tx) => {
        await Promise.all([clearRows(tx), clearUploaded(tx)])
      }),
    )
  }

  /** The page is left and may be kept for the way back: it holds nothing open that the next page needs. */
  async pause(): Promise<void> {
    this.channel.close()
    // Chromium runs listeners of a page's end in the order they were added: whoever comes first keeps it for the next page.
    if (this.unwritten.size) writeStored(this.lateDraftsKey, JSON.stringify([...this.unwritten]))
    this.unwritten.clear()
    // Whether the server answers is not known to a page that does not listen.
    this.syncStatus.value = IDLE_STATUS
    await this.db.close()
  }

  /** The page is back: what it did not hear meanwhile is read. */
  async resume(): Promise<void> {
    this.channel.open()
    this.readLateDrafts()
    await this.readAll()
  }

  /** Everything the phone holds of this member. */
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

  /** Saves new entries by `work`, behind those that an eviction of the storage may have taken. */
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
      this.unwritten.set(name, draft)
  }

  async readDrafts(): Promise<void> {
    const stored = await this.db.run('readonly', ['drafts'], (tx) => tx.objectStore('drafts').getAll())
    const drafts = new Map(stored.map((draft) => [draft.name, draft]))
    for (const [name, draft] of this.unwritten) draft ? drafts.set(name, draft) : drafts.delete(name)
    this.drafts.value = drafts
  }

  /** A picture was taken, or taken out: every tab shows it, and the one that sends begins. */
  async announcePictures(): Promise<void> {
    await this.readSending()
    this.channel.post({ tell: 'pictures' })
    this.wake()
  }

  private readKeysInOrder(keys: readonly RowKey[]): Promise<void> {
    return this.runInOrder(() => this.readNow(keys))
  }

  /** Changes announced while an earlier read is under way are read together, once. */
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
    // Rows in memory stay good to work with even if the browser has evicted them from the storage.
    this.setStatus({ ...reading, ready: reading.ready || this.currentStatus.peek().ready })
  }

  /** A reading in which nothing is missing that was saved on this page and not sent yet, ready to be shown. */
  private async readComplete<R extends DeviceStatus & StoredRows>(read: () => Promise<R>): Promise<R> {
    let reading = await read()
    if (reading.device.id !== this.currentStatus.peek().device.id)
      if ((await restoreEvicted(this.db, this.view.outbox.peek())) > 0) reading = await read()
    await this.ensureReplays(reading.outbox)
    return reading
  }

  /**
   * Waits for the code that replays these, so that nothing is shown without what they do. Not for ever: over a line
   * that neither answers nor breaks the rest is shown, and these as soon as their code has come.
   */
  private async ensureReplays(outbox: readonly OutboxEntry[]): Promise<void> {
    const pending = outbox.filter(isPending)
    if (hasReplays(pending)) return
    const loading = loadReplays(pending)
    await Promise.race([loading, new Promise((resolve) => setTimeout(resolve, LONGEST_WAIT_MS))])
    if (!hasReplays(pending)) void loading.then(() => (hasReplays(pending) ? this.readSoon([]) : undefined))
  }

  private setStatus({ device, ready, last_synced_at, ahead_ms }: DeviceStatus): void {
    this.currentStatus.value = { device, ready, last_synced_at, ahead_ms }
  }

  /** What another tab, or the one that syncs, has to say. */
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
