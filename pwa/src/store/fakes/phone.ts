import { KINDS, type Row } from '../../domain/contract'
import { newId } from '../browser/clock'
import { type OutboxEntry, sortedByNumber } from '../queue/entry'
import { openShop, type ShopSession, shopSession } from '../session/shopSession'
import { LocalDatabase } from '../sync/localDatabase'
import type { RemotePort } from '../sync/ports'
import { syncOnce } from '../sync/syncRound'
import type { FakeServer } from './server'

/** A browser with its own database and view, which syncs with a server in memory. */
export class Phone {
  readonly shop: ShopSession
  readonly local: LocalDatabase
  remote: RemotePort

  private constructor(shop: ShopSession, remote: RemotePort) {
    this.shop = shop
    this.remote = remote
    this.local = new LocalDatabase(shop.db, (message) => shop.onMessage(message))
  }

  static async open(server: FakeServer, who = { shop_id: newId(), member_id: newId() }): Promise<Phone> {
    return new Phone(await openShop(who), server.for(who.member_id))
  }

  /** Runs an action of a screen on this phone. */
  async does<Result>(work: () => Promise<Result>): Promise<Result> {
    shopSession.value = this.shop
    return work()
  }

  async sync(): Promise<void> {
    try {
      await syncOnce(this.shop.who.member_id, this.local, this.remote)
    } finally {
      await this.quiet()
    }
  }

  /** Resolves when the view has read all announced changes. */
  async quiet(): Promise<void> {
    await this.shop.runInOrder(async () => undefined)
  }

  get outbox(): readonly OutboxEntry[] {
    return this.shop.view.outbox.value
  }

  stored(store: 'outbox' | 'kept' | 'aside'): Promise<OutboxEntry[]> {
    return this.shop.db.run('readonly', [store], async (tx) =>
      sortedByNumber(await tx.objectStore(store).getAll(), this.shop.deviceStatus.value.device.id),
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
