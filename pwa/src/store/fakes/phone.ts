import { KINDS, type Row } from '../../domain/rows'
import { newId } from '../clock'
import { type Entry, inOrder } from '../entry'
import { LocalDatabase } from '../local'
import { type Opened, opened, openShop } from '../opened'
import type { RemotePort } from '../ports'
import { syncOnce } from '../sync'
import type { FakeServer } from './server'

/** One browser: its own database, the view over it, and rounds of syncing with a server in memory. */
export class Phone {
  readonly shop: Opened
  readonly local: LocalDatabase
  remote: RemotePort

  private constructor(shop: Opened, remote: RemotePort) {
    this.shop = shop
    this.remote = remote
    this.local = new LocalDatabase(shop.db, (told) => shop.hear(told))
  }

  static async open(server: FakeServer, who = { shop_id: newId(), member_id: newId() }): Promise<Phone> {
    return new Phone(await openShop(who), server.for(who.member_id))
  }

  /** Runs something a screen would do, on this phone. */
  async does<Result>(work: () => Promise<Result>): Promise<Result> {
    opened.value = this.shop
    return work()
  }

  async sync(): Promise<void> {
    try {
      await syncOnce(this.shop.who.member_id, this.local, this.remote)
    } finally {
      await this.quiet()
    }
  }

  /** Resolves when the view has read all it was told of. */
  async quiet(): Promise<void> {
    await this.shop.inOrder(async () => undefined)
  }

  get outbox(): readonly Entry[] {
    return this.shop.view.outbox.value
  }

  stored(store: 'outbox' | 'kept' | 'aside'): Promise<Entry[]> {
    return this.shop.db.run('readonly', [store], async (tx) =>
      inOrder(await tx.objectStore(store).getAll(), this.shop.standing.value.device.id),
    )
  }

  /** The rows shown, by kind and id. */
  shown(): Map<string, Row> {
    return new Map(
      KINDS.flatMap((kind) => this.shop.view.all(kind).map((row) => [`${kind} ${row.id}`, row] as const)),
    )
  }

  async close(): Promise<void> {
    this.shop.channel.close()
    await this.shop.db.close()
  }
}
