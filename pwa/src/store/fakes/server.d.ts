import { type Kind, type Row, type Rows } from '../../domain/contract'
import type { OutboxEntry } from '../queue/entry'
import type { Outcome, RemotePort } from '../sync/ports'
/** drop: the request never arrives. lose: it is executed, but the answer never arrives. */
export type ServerFault = 'drop' | 'lose' | 'busy' | 'signed_out' | 'too_old'
interface State {
  epoch: number
  seq: number
  horizon: number
  rows: Map<
    string,
    {
      kind: Kind
      row: Row | null
      seq: number
    }
  >
  devices: Map<
    string,
    {
      letter: string
      next_no: number
      retired: boolean
    }
  >
  commands: Map<
    string,
    {
      digest: string
      outcome: Outcome
    }
  >
  safe_no: number
}
/**
 * A server in memory, with the numbering, the log and the cursors of the real one. It executes commands by the phone's
 * replay. It rejects a customer with the name `refuses`, and holds hours of `-1`.
 */
export declare class FakeServer {
  state: State
  /** Rows on a page of a pull or a snapshot. */
  page_rows: number
  view: string
  /** A name of a customer that is rejected. */
  refuses: string
  /** Faults of the next calls in order; a call without one succeeds. */
  faults: (ServerFault | null)[]
  /** Extra fields of every applied outcome, and those sent back in each push after a restore. */
  says: Pick<Outcome, 'after' | 'number'>
  readonly earlier: OutboxEntry['earlier'][]
  /** How often each command was executed. */
  readonly carried: Map<string, number>
  readonly calls: string[]
  rows<K extends Kind>(kind: K): Rows[K][]
  /** A write from elsewhere than a phone's queue. */
  put<K extends Kind>(kind: K, row: Rows[K]): void
  drop(kind: Kind, id: string): void
  backup(): State
  restore(from: State): void
  /** The server as one member's browser sees it. */
  for(member_id: string | null): RemotePort
  private reach
  private register
  private push
  /** Refuses a signed-off device. */
  private inUse
  private carryOut
  private writing
  private pull
  private snapshot
  private cursor
  private device
}
