import { type ReadonlySignal, signal } from '@preact/signals'
import { clearSent, readSending } from './album'
import { beginAnew, rescue } from './anew'
import { Channel, type Pulse, type Told } from './channel'
import { clearRows, databaseName, type Sending, ShopDatabase, type Tx, type Who } from './db'
import type { Entry } from './entry'
import { type Device, deviceIn } from './meta'
import { readAll, readKeys, type Standing } from './reading'
import { trouble } from './storage'
import { type Key, View } from './view'

export const AT_REST: Pulse = { signal: 'unknown', working: false, stopped: null, no_room: false }

/** The shop's data of the member signed in here, while it is open. */
export class Opened {
  readonly who: Who
  readonly db: ShopDatabase
  readonly view: View
  readonly channel: Channel
  readonly standing: ReadonlySignal<Standing>
  readonly pulse = signal<Pulse>(AT_REST)
  /** The pictures taken here that the server has not made yet, oldest first. */
  readonly sending = signal<readonly Sending[]>([])
  /** The member has signed out in another tab. */
  readonly left = signal(false)
  private readonly stands
  private last: Promise<unknown> = Promise.resolve()
  private due: Key[] | null = null

  constructor(who: Who, db: ShopDatabase, device: Device) {
    this.who = who
    this.db = db
    this.stands = signal<Standing>({ device, ready: false, last_synced_at: null })
    this.standing = this.stands
    this.view = new View({ member_id: who.member_id, device_id: device.id })
    this.channel = new Channel(db.name, (told) => this.hear(told))
  }

  /** Runs one piece of work after another, so that a reading never overtakes a save. */
  inOrder<Result>(work: () => Promise<Result>): Promise<Result> {
    const next = this.last.then(work, work)
    this.last = next.catch(() => undefined)
    return next
  }

  /** Changes the outbox and what belongs to it in one transaction, and shows the result in every tab. */
  async change(
    work: (tx: Tx<('outbox' | 'aside' | 'kept' | 'meta')[], 'readwrite'>) => Promise<void>,
  ): Promise<void> {
    await this.inOrder(() => this.db.run('readwrite', ['outbox', 'aside', 'kept', 'meta'], work, 'strict'))
    await this.read([])
    this.tellSaved()
  }

  /** Tells the other tabs, and the one that sends, that the outbox has grown or changed. */
  tellSaved(): void {
    this.channel.tell({ tell: 'rows', keys: [] })
    this.wake()
  }

  wake(): void {
    this.channel.tell({ tell: 'wake' })
  }

  /** Takes the server's rows and pictures off the phone. What was made here and not yet sent stays. */
  async wipe(): Promise<void> {
    this.channel.tell({ tell: 'session' })
    await this.inOrder(() =>
      this.db.run('readwrite', ['base', 'meta', 'pictures', 'sending'], async (tx) => {
        await Promise.all([clearRows(tx), clearSent(tx)])
      }),
    )
  }

  /** A member who signs in on a device that was taken off the list begins anew with it; nothing unsent is lost. */
  async comeBack(): Promise<void> {
    if (!this.standing.peek().device.retired) return
    await this.inOrder(() => beginAnew(this.db))
    await this.read([])
    this.tellSaved()
  }

  readEverything(): Promise<void> {
    return this.inOrder(async () => {
      const reading = await this.whole(() => readAll(this.db))
      this.view.replaceAll(reading)
      this.stand(reading)
    })
  }

  /** Saves new entries by `work`, behind those that an eviction of the storage may have taken. */
  save(work: () => Promise<Entry[]>): Promise<Entry[]> {
    return this.inOrder(async () => {
      const device = await this.db.run('readonly', ['meta'], deviceIn)
      if (device.id !== this.stands.peek().device.id) await this.readNow([])
      const entries = await work()
      this.view.append(entries)
      return entries
    })
  }

  async readSending(): Promise<void> {
    this.sending.value = await readSending(this.db)
  }

  /** A picture was taken, or taken out: every tab shows it, and the one that sends begins. */
  async tellPictures(): Promise<void> {
    await this.readSending()
    this.channel.tell({ tell: 'pictures' })
    this.wake()
  }

  private read(keys: readonly Key[]): Promise<void> {
    return this.inOrder(() => this.readNow(keys))
  }

  /** What is told of while an earlier reading is under way is read together, once. */
  private async readSoon(keys: readonly Key[]): Promise<void> {
    if (this.due) {
      this.due.push(...keys)
      return
    }
    this.due = [...keys]
    await this.inOrder(async () => {
      const due = this.due ?? []
      this.due = null
      await this.readNow(due)
    })
  }

  private async readNow(keys: readonly Key[]): Promise<void> {
    const reading = await this.whole(() => readKeys(this.db, keys))
    this.view.refresh(reading)
    // Rows in memory stay good to work with even if the browser has evicted them from the storage.
    this.stand({ ...reading, ready: reading.ready || this.stands.peek().ready })
  }

  /** A reading in which nothing is missing that was saved on this page and not sent yet. */
  private async whole<R extends Standing>(read: () => Promise<R>): Promise<R> {
    const reading = await read()
    if (reading.device.id === this.stands.peek().device.id) return reading
    return (await rescue(this.db, this.view.outbox.peek())) > 0 ? read() : reading
  }

  private stand({ device, ready, last_synced_at }: Standing): void {
    this.stands.value = { device, ready, last_synced_at }
  }

  /** What another tab, or the one that syncs, has to say. */
  hear(told: Told): void {
    if (told.tell === 'rows') void this.readSoon(told.keys)
    else if (told.tell === 'everything') void this.readEverything()
    else if (told.tell === 'pictures') void this.readSending()
    else if (told.tell === 'pulse') {
      this.pulse.value = told.pulse
      if (told.pulse.no_room) trouble.value = 'no_room'
    } else if (told.tell === 'session') this.left.value = true
  }
}

export const opened = signal<Opened | null>(null)

/** @throws Error when nobody is signed in: a screen that needs the shop is shown only to a member. */
export function current(): Opened {
  const found = opened.value
  if (found === null) throw new Error('no shop is open')
  return found
}

export async function openShop(who: Who): Promise<Opened> {
  const db = new ShopDatabase(databaseName(who))
  const device = await db.run('readonly', ['meta'], deviceIn)
  const shop = new Opened(who, db, device)
  await Promise.all([shop.readEverything(), shop.readSending()])
  opened.value = shop
  return shop
}

export async function closeShop(): Promise<void> {
  const shop = opened.peek()
  opened.value = null
  shop?.channel.close()
  await shop?.db.close()
}
