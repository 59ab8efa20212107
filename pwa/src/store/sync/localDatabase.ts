import { KINDS, type Kind, type Row } from '../../domain/contract'
import { stamp } from '../browser/clock'
import { resetDevice } from '../database/deviceReset'
import {
  deviceIn,
  type FirstRowsProgress,
  readMeta,
  type SnapshotProgress,
  writeMeta,
} from '../database/meta'
import { type BaseRecord, clearRows, type ShopDatabase, type Within } from '../database/shopDatabase'
import { clearUploaded } from '../pictures/pictureStore'
import { isUnsent, type OutboxEntry, sortedByNumber, toResend } from '../queue/entry'
import type { RowKey } from '../rows/view'
import type {
  LocalPort,
  Outcome,
  Page,
  Registration,
  RowsByKind,
  SnapshotPage,
  SyncPosition,
  WorkingSetPage,
} from './ports'
import type { TabMessage } from './tabChannel'

/** Rows written per transaction; more would delay saves. */
const MAX_ROWS_PER_TX = 250

/** Whether a page still continues the stored position. */
type StillCurrent = (tx: Within<'meta'>) => Promise<boolean>

/** The phone's side of syncing, on IndexedDB. Announces changes after each transaction. */
export class LocalDatabase implements LocalPort {
  private readonly db: ShopDatabase
  private readonly post: (message: TabMessage) => void

  constructor(db: ShopDatabase, tell: (message: TabMessage) => void) {
    this.db = db
    this.post = tell
  }

  read(): Promise<SyncPosition> {
    return this.db.run('readonly', ['meta'], async (tx) => {
      const [device, cursor = null, snapshot = null, first = null, generation] = await Promise.all([
        deviceIn(tx),
        readMeta(tx, 'cursor'),
        readMeta(tx, 'snapshot'),
        readMeta(tx, 'first'),
        readMeta(tx, 'generation'),
      ])
      return { device, cursor, snapshot, complete: generation !== undefined, first }
    })
  }

  async saveRegistration(registered: Registration): Promise<void> {
    await this.db.run('readwrite', ['meta'], async (tx) =>
      writeMeta(tx, 'device', { ...(await deviceIn(tx)), ...registered }),
    )
    this.announceRows([])
  }

  unsent(from_no: number): Promise<OutboxEntry[]> {
    return this.db.run('readonly', ['outbox', 'aside', 'meta'], async (tx) => {
      const [entries, aside, device] = await Promise.all([
        tx.objectStore('outbox').getAll(),
        tx.objectStore('aside').getAll(),
        deviceIn(tx),
      ])
      // A discarded command is sent to a restored server too, under its number, and stays discarded.
      return sortedByNumber([...entries, ...aside], device.id).filter(
        (entry) => isUnsent(entry) && entry.device_id === device.id && entry.no >= from_no,
      )
    })
  }

  async held(): Promise<OutboxEntry[]> {
    const entries = await this.db.run('readonly', ['outbox'], (tx) => tx.objectStore('outbox').getAll())
    return entries.filter(({ status }) => status === 'held')
  }

  async noteSent(ids: readonly string[]): Promise<void> {
    await this.changeEntries(ids, (entry) => ({ ...entry, status: 'sent', tries: entry.tries + 1 }))
  }

  async saveOutcomes(outcomes: readonly Outcome[]): Promise<void> {
    const byId = new Map(outcomes.map(({ id, ...outcome }) => [id, outcome]))
    await this.changeEntries([...byId.keys()], (entry) => ({ ...entry, ...byId.get(entry.id) }))
    this.announceRows([])
  }

  async saveWorkingSetPage(page: WorkingSetPage, before: FirstRowsProgress | null): Promise<void> {
    // Of no snapshot: the first complete one removes what it does not have.
    const records = recordsOf(page.rows, 0)
    const isCurrent: StillCurrent = async (tx) => (await readMeta(tx, 'first'))?.after === before?.after
    const last = await this.putAllButLast(records, isCurrent)
    await this.db.run('readwrite', ['base', 'meta'], async (tx) => {
      if (!(await isCurrent(tx))) return
      await putRecords(tx, last)
      await writeMeta(tx, 'first', { after: page.after })
    })
    if (page.after === null) this.post({ tell: 'everything' })
  }

  async saveSnapshotPage(page: SnapshotPage, before: SnapshotProgress | null): Promise<void> {
    const generation = before?.generation ?? (await this.nextGeneration())
    const records = recordsOf(page.rows, generation)
    const progress = {
      after: page.after,
      cursor: before?.cursor ?? page.cursor,
      generation,
      fetched: (before?.fetched ?? 0) + records.length,
      total: before ? (before.total ?? null) : page.total,
    }
    const isCurrent: StillCurrent = async (tx) => isSameProgress(await readMeta(tx, 'snapshot'), before)
    const last = await this.putAllButLast(records, isCurrent)
    const done = await this.db.run('readwrite', ['base', 'meta'], async (tx) => {
      if (!(await isCurrent(tx))) return false
      await putRecords(tx, last)
      if (progress.after !== null) {
        await writeMeta(tx, 'snapshot', progress)
        return false
      }
      await removeOlderRows(tx, generation)
      await Promise.all([
        tx.objectStore('meta').delete('snapshot'),
        writeMeta(tx, 'generation', generation),
        writeMeta(tx, 'cursor', progress.cursor),
      ])
      return true
    })
    if (done) this.post({ tell: 'everything' })
    // How far it has come is shown.
    else this.announceRows([])
  }

  async requestSnapshot(): Promise<void> {
    await this.db.run('readwrite', ['meta'], async (tx) => {
      const meta = tx.objectStore('meta')
      await Promise.all([meta.delete('cursor'), meta.delete('snapshot')])
    })
  }

  async savePage(page: Page, from_cursor: string): Promise<void> {
    const { generation } = await this.db.run('readonly', ['meta'], async (tx) => ({
      generation: (await readMeta(tx, 'generation')) ?? 0,
    }))
    const records = recordsOf(page.rows, generation)
    const isCurrent: StillCurrent = async (tx) => (await readMeta(tx, 'cursor')) === from_cursor
    const last = await this.putAllButLast(records, isCurrent)
    await this.db.run('readwrite', ['base', 'outbox', 'kept', 'meta'], async (tx) => {
      if (!(await isCurrent(tx))) return
      await putRecords(tx, last)
      await Promise.all(page.gone.map(([kind, id]) => tx.objectStore('base').delete([kind, id])))
      await writeMeta(tx, 'cursor', page.cursor)
      if (page.more) return
      const device = await deviceIn(tx)
      await removeAcknowledged(tx, page.acks)
      await removeBackedUp(tx, device.id, page.safe_no)
      await writeMeta(tx, 'last_synced_at', stamp().wall)
    })
    this.announceRows([...records.map(({ kind, id }) => [kind, id] as const), ...page.gone])
  }

  async savePullWithoutChanges(): Promise<void> {
    await this.db.run('readwrite', ['outbox', 'kept', 'meta'], async (tx) => {
      await removeAcknowledged(tx, {})
      await writeMeta(tx, 'last_synced_at', stamp().wall)
    })
    this.announceRows([])
  }

  async resubmit(from_no: number): Promise<void> {
    await this.db.run('readwrite', ['outbox', 'kept', 'aside', 'meta'], async (tx) => {
      const device = await deviceIn(tx)
      const forgotten = (entry: OutboxEntry) =>
        entry.device_id === device.id && entry.no >= from_no && !isUnsent(entry)
      for (const name of ['kept', 'aside', 'outbox'] as const) {
        for (const entry of (await tx.objectStore(name).getAll()).filter(forgotten)) {
          if (name === 'kept') await tx.objectStore('kept').delete(entry.id)
          await tx.objectStore(name === 'aside' ? 'aside' : 'outbox').put(toResend(entry))
        }
      }
    })
    this.announceRows([])
  }

  async resetDevice(): Promise<void> {
    await resetDevice(this.db)
    this.announceRows([])
  }

  async retire(): Promise<void> {
    await this.db.run('readwrite', ['base', 'meta', 'drafts', 'pictures', 'sending'], async (tx) => {
      await Promise.all([clearRows(tx), clearUploaded(tx)])
      await writeMeta(tx, 'device', { ...(await deviceIn(tx)), retired: true })
    })
    this.post({ tell: 'everything' })
  }

  private async nextGeneration(): Promise<number> {
    const known = await this.db.run('readonly', ['meta'], (tx) => readMeta(tx, 'generation'))
    return (known ?? 0) + 1
  }

  /** Writes all but the last rows in separate relaxed transactions. Returns those still to write. */
  private async putAllButLast(
    records: readonly BaseRecord[],
    isCurrent: StillCurrent,
  ): Promise<readonly BaseRecord[]> {
    const early = Math.max(0, Math.ceil(records.length / MAX_ROWS_PER_TX) - 1)
    for (let at = 0; at < early; at++) {
      const some = records.slice(at * MAX_ROWS_PER_TX, (at + 1) * MAX_ROWS_PER_TX)
      await this.db.run(
        'readwrite',
        ['base', 'meta'],
        async (tx) => ((await isCurrent(tx)) ? putRecords(tx, some) : undefined),
        'relaxed',
      )
    }
    return records.slice(early * MAX_ROWS_PER_TX)
  }

  private async changeEntries(
    ids: readonly string[],
    change: (entry: OutboxEntry) => OutboxEntry,
  ): Promise<void> {
    await this.db.run('readwrite', ['outbox', 'aside'], async (tx) => {
      for (const store of [tx.objectStore('outbox'), tx.objectStore('aside')])
        for (const id of ids) {
          const entry = await store.get(id)
          if (entry) await store.put(change(entry))
        }
    })
  }

  /** Above one transaction's rows the view is read again in full. */
  private announceRows(keys: readonly RowKey[]): void {
    this.post(keys.length > MAX_ROWS_PER_TX ? { tell: 'everything' } : { tell: 'rows', keys })
  }
}

function recordsOf(rows: RowsByKind, generation: number): BaseRecord[] {
  return KINDS.flatMap((kind: Kind) =>
    (rows[kind] ?? []).map((row: Row) => ({ kind, id: row.id, generation, row })),
  )
}

async function putRecords(tx: Within<'base'>, records: readonly BaseRecord[]): Promise<void> {
  const base = tx.objectStore('base')
  await Promise.all(records.map((record) => base.put(record)))
}

/** Deletes the rows that are not in the newest snapshot. */
async function removeOlderRows(tx: Within<'base'>, generation: number): Promise<void> {
  const older = IDBKeyRange.upperBound(generation, true)
  const base = tx.objectStore('base')
  for (const key of await base.index('generation').getAllKeys(older)) await base.delete(key)
}

/** Removes applied commands whose effect is in the rows from the outbox. */
async function removeAcknowledged(
  tx: Within<'outbox' | 'kept'>,
  acks: Readonly<Record<string, number>>,
): Promise<void> {
  const entries = await tx.objectStore('outbox').getAll()
  const settled = entries.filter(
    ({ status, no, device_id }) => status === 'applied' && no <= (acks[device_id] ?? no),
  )
  for (const entry of settled) {
    await tx.objectStore('outbox').delete(entry.id)
    await tx.objectStore('kept').put(entry)
  }
}

async function removeBackedUp(tx: Within<'kept'>, device_id: string, safe_no: number): Promise<void> {
  if (safe_no === 0) return
  const kept = tx.objectStore('kept')
  for (const entry of await kept.getAll())
    if (entry.device_id === device_id && entry.no <= safe_no) await kept.delete(entry.id)
}

function isSameProgress(stored: SnapshotProgress | undefined, before: SnapshotProgress | null): boolean {
  return stored?.generation === before?.generation && stored?.after === before?.after
}
