import { NoSignal, Problem } from '../../api/problem'
import { FACTS, KINDS, type Kind, type Row, type Rows } from '../../domain/contract'
import type { OutboxEntry } from '../queue/entry'
import { loadReplays, replay } from '../replay/replay'
import { OverlayRows, type ReplayRows } from '../rows/overlay'
import type {
  Outcome,
  Page,
  Registration,
  RemotePort,
  Resync,
  RowsByKind,
  SnapshotPage,
  WorkingSetPage,
} from '../sync/ports'

await loadReplays()

/** drop: the request never arrives. lose: it is executed, but the answer never arrives. */
export type ServerFault = 'drop' | 'lose' | 'busy' | 'signed_out' | 'too_old'

interface State {
  epoch: number
  seq: number
  horizon: number
  rows: Map<string, { kind: Kind; row: Row | null; seq: number }>
  devices: Map<string, { letter: string; next_no: number; retired: boolean }>
  commands: Map<string, { digest: string; outcome: Outcome }>
  safe_no: number
}

/**
 * A server in memory, with the numbering, the log and the cursors of the real one. It executes commands by the phone's
 * replay. It rejects a customer with the name `refuses`, and holds hours of `-1`.
 */
export class FakeServer {
  state: State = {
    epoch: 1,
    seq: 0,
    horizon: 0,
    rows: new Map(),
    devices: new Map(),
    commands: new Map(),
    safe_no: 0,
  }
  /** Rows on a page of a pull or a snapshot. */
  page_rows = 500
  view = 'v1'
  /** The rows of the working set, as `kind id`. */
  first: ReadonlySet<string> = new Set()
  /** A name of a customer that is rejected. */
  refuses = 'BAD'
  /** Faults of the next calls in order; a call without one succeeds. */
  faults: (ServerFault | null)[] = []
  /** Extra fields of every applied outcome, and those sent back in each push after a restore. */
  says: Pick<Outcome, 'after' | 'number'> = {}
  readonly earlier: OutboxEntry['earlier'][] = []
  /** How often each command was executed. */
  readonly carried = new Map<string, number>()
  readonly calls: string[] = []

  rows<K extends Kind>(kind: K): Rows[K][] {
    return [...this.state.rows.values()].flatMap((found) =>
      found.kind === kind && found.row ? [found.row as Rows[K]] : [],
    )
  }

  /** A write from elsewhere than a phone's queue. */
  put<K extends Kind>(kind: K, row: Rows[K]): void {
    this.state.seq += 1
    this.state.rows.set(`${kind} ${row.id}`, { kind, row, seq: this.state.seq })
  }

  drop(kind: Kind, id: string): void {
    this.state.seq += 1
    this.state.rows.set(`${kind} ${id}`, { kind, row: null, seq: this.state.seq })
  }

  backup(): State {
    return structuredClone(this.state)
  }

  restore(from: State): void {
    this.state = { ...structuredClone(from), epoch: this.state.epoch + 1 }
  }

  /** The server as one member's browser sees it. */
  for(member_id: string | null): RemotePort {
    const reached = <Answer>(call: string, work: () => Answer) => this.reach(call, work)
    return {
      whoIsSignedIn: () => reached('session', () => member_id),
      register: (id) => reached('register', () => this.register(id)),
      push: (id, entries) => reached('push', () => this.push(id, structuredClone(entries))),
      pull: (id, cursor) => reached('pull', () => structuredClone(this.inUse(id) && this.pull(id, cursor))),
      workingSet: (id, after) =>
        reached('workingSet', () => structuredClone(this.inUse(id) && this.workingSet(after))),
      snapshot: (id, after) =>
        reached('snapshot', () => structuredClone(this.inUse(id) && this.snapshot(after))),
      outcome: (id) => reached('outcome', () => this.state.commands.get(id)?.outcome ?? null),
    }
  }

  private async reach<Answer>(call: string, work: () => Answer): Promise<Answer> {
    this.calls.push(call)
    const fault = this.faults.shift() ?? null
    await new Promise((resolve) => setTimeout(resolve, 0))
    if (fault === 'drop') throw new NoSignal('dropped')
    if (fault === 'busy') throw new Problem(503, { code: 'busy' }, 7)
    if (fault === 'signed_out') throw new Problem(401, { code: 'not_authenticated' }, null)
    if (fault === 'too_old') throw new Problem(426, { code: 'upgrade' }, null)
    const answer = work()
    if (fault === 'lose') throw new NoSignal('answer lost')
    return answer
  }

  private register(id: string): Registration {
    const letter = String.fromCharCode(65 + this.state.devices.size)
    const device = this.state.devices.get(id) ?? { letter, next_no: 1, retired: false }
    this.state.devices.set(id, device)
    return { letter: device.letter, epoch: String(this.state.epoch) }
  }

  private push(device_id: string, entries: readonly OutboxEntry[]): Outcome[] {
    const device = this.device(device_id)
    this.state.seq += 1
    return entries.map((entry) => {
      const digest = JSON.stringify([entry.id, entry.no, entry.name, entry.args])
      const known = this.state.commands.get(entry.id)
      if (known && known.digest !== digest) throw new Problem(409, { code: 'fork' }, null)
      if (known) return known.outcome
      if (entry.no > device.next_no) throw new Problem(409, { code: 'gap', expect: device.next_no }, null)
      if (entry.no < device.next_no) throw new Problem(409, { code: 'fork' }, null)
      const outcome = device.retired ? heldFor(entry) : this.carryOut(entry, device_id)
      this.state.commands.set(entry.id, { digest, outcome })
      device.next_no += 1
      return outcome
    })
  }

  /** Refuses a signed-off device. */
  private inUse(device_id: string): true {
    if (this.device(device_id).retired) throw new Problem(410, { code: 'device_retired' }, null)
    return true
  }

  private carryOut(entry: OutboxEntry, device_id: string): Outcome {
    const { id } = entry
    this.earlier.push(entry.earlier)
    if (entry.earlier?.status === 'rejected') return { id, ...entry.earlier }
    if (entry.name === 'add_customer' && entry.args.name === this.refuses)
      return { id, status: 'rejected', code: 'bad', words: 'No such name.', fields: [] }
    if (FACTS.has(entry.name) && 'hours' in entry.args && entry.args.hours === '-1')
      return { id, status: 'held', code: 'needs_review', words: 'A person must look.', fields: [] }
    this.carried.set(id, (this.carried.get(id) ?? 0) + 1)
    replay(this.writing(), entry, { member_id: 'member', device_id })
    return { id, status: 'applied', code: null, words: null, fields: [], ...this.says }
  }

  private writing(): ReplayRows {
    const world = new OverlayRows()
    for (const kind of KINDS) for (const row of this.rows(kind)) world.putBase(kind, row)
    return {
      get: (kind, id) => world.get(kind, id),
      where: (kind, field, owner) => world.where(kind, field, owner),
      all: (kind) => world.all(kind),
      put: (kind, row) => {
        world.put(kind, row)
        this.state.rows.set(`${kind} ${row.id}`, { kind, row, seq: this.state.seq })
      },
      drop: (kind, id) => {
        world.drop(kind, id)
        this.state.rows.set(`${kind} ${id}`, { kind, row: null, seq: this.state.seq })
      },
    }
  }

  private pull(device_id: string, text: string): Page | { resync: Resync } | null {
    const device = this.device(device_id)
    const [epoch, since = 0, view] = text.split('.').map((part, at) => (at < 2 ? Number(part) : part)) as [
      number,
      number,
      string,
    ]
    if (epoch !== this.state.epoch || since > this.state.seq) return { resync: 'fork' }
    if (since < this.state.horizon) return { resync: 'horizon' }
    if (view !== this.view) return { resync: 'view' }
    if (since === this.state.seq) return null
    const changed = [...this.state.rows]
      .filter(([, { seq }]) => seq > since)
      .sort((a, b) => a[1].seq - b[1].seq)
    const last = changed[this.page_rows - 1]?.[1].seq ?? this.state.seq
    const cut = changed.filter(([, { seq }]) => seq <= last)
    return {
      rows: byKind(cut.flatMap(([, { kind, row }]) => (row ? [[kind, row] as const] : []))),
      gone: cut.flatMap(([key, { kind, row }]) => (row ? [] : [[kind, key.split(' ')[1] ?? ''] as const])),
      acks: { [device_id]: device.next_no - 1 },
      cursor: this.cursor(cut.length < changed.length ? last : this.state.seq),
      more: cut.length < changed.length,
      safe_no: this.state.safe_no,
    }
  }

  private workingSet(after: string | null): WorkingSetPage {
    const { rows, after: next } = this.pageAfter(after, ([key]) => this.first.has(key))
    return { rows, after: next }
  }

  private snapshot(after: string | null): SnapshotPage {
    const total = after === null ? this.living().length : null
    return { ...this.pageAfter(after, () => true), cursor: this.cursor(this.state.seq), total }
  }

  private living() {
    return [...this.state.rows].filter(([, { row }]) => row).sort(([a], [b]) => (a < b ? -1 : 1))
  }

  private pageAfter(after: string | null, has: (found: ReturnType<FakeServer['living']>[number]) => boolean) {
    const rest = this.living().filter((found) => has(found) && (after === null || found[0] > after))
    const page = rest.slice(0, this.page_rows)
    return {
      rows: byKind(page.map(([, { kind, row }]) => [kind, row as Row] as const)),
      after: rest.length > page.length ? (page.at(-1)?.[0] ?? null) : null,
    }
  }

  private cursor(seq: number): string {
    return `${this.state.epoch}.${seq}.${this.view}`
  }

  private device(id: string) {
    const device = this.state.devices.get(id)
    if (!device) throw new Problem(404, { code: 'not_found' }, null)
    return device
  }
}

function byKind(rows: readonly (readonly [Kind, Row])[]): RowsByKind {
  const found: { [kind in Kind]?: Row[] } = {}
  for (const [kind, row] of rows) {
    found[kind] ??= []
    found[kind].push(row)
  }
  return found
}

/** Holds the commands of a signed-off device for the owner. */
function heldFor({ id }: OutboxEntry): Outcome {
  return { id, status: 'held', code: 'device_retired', words: 'The owner looks at it.', fields: [] }
}
