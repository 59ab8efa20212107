import { type Row } from '../../domain/contract'
import { type OutboxEntry } from '../queue/entry'
import { type ShopSession } from '../session/shopSession'
import { LocalDatabase } from '../sync/localDatabase'
import type { RemotePort } from '../sync/ports'
import type { FakeServer } from './server'
/** A browser with its own database and view, which syncs with a server in memory. */
export declare class Phone {
  readonly shop: ShopSession
  readonly local: LocalDatabase
  remote: RemotePort
  private constructor()
  static open(
    server: FakeServer,
    who?: {
      shop_id: string
      member_id: string
    },
  ): Promise<Phone>
  /** Runs an action of a screen on this phone. */
  does<Result>(work: () => Promise<Result>): Promise<Result>
  sync(): Promise<void>
  /** Resolves when the view has read all announced changes. */
  quiet(): Promise<void>
  get outbox(): readonly OutboxEntry[]
  stored(store: 'outbox' | 'kept' | 'aside'): Promise<OutboxEntry[]>
  /** The rows shown, by kind and id. */
  shown(): Map<string, Row>
  close(): Promise<void>
}
