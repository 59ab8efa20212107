import { KINDS, type Kind, type Row } from '../domain/rows'
import { clearSent } from './album'
import { beginAnew } from './anew'
import type { Told } from './channel'
import { stamp } from './clock'
import { type BaseRecord, clearRows, type ShopDatabase, type Within } from './db'
import { type Entry, inOrder, isUnsent } from './entry'
import { deviceIn, readMeta, type SnapshotProgress, writeMeta } from './meta'
import type { LocalPort, Outcome, Page, Registered, RowsByKind, SnapshotPage, Standpoint } from './ports'
import type { Key } from './view'

/** Rows written in one transaction; more at once would keep saves waiting. */
const MOST_ROWS = 250

/** Whether what is about to be written still follows on what is stored. */
type Guard = (tx: Within<'meta'>) => Promise<boolean>

/** The phone's side of syncing, on IndexedDB. Says after each transaction what has changed. */
export class LocalDatabase implements LocalPort {
  private readonly db: ShopDatabase
  private readonly tell: (told: Told) => void

  constructor(db: ShopDatabase, tell: (told: Told) => void) {
    this.db = db
    this.tell = tell
  }

  read(): Promise<Standpoint> {
    return this.db.run('readonly', ['meta'], async (tx) => {
      const [device, cursor = null, snapshot = null] = await Promise.all([
        deviceIn(tx),
        readMeta(tx, 'cursor'),
        readMeta(tx, 'snapshot'),
      ])
      return { device, cursor, snapshot }
    })
  }

  async keepRegistered(registered: Registered): Promise<void> {
    await this.db.run('readwrite', ['meta'], async (tx) =>
      writeMeta(tx, 'device', { ...(await deviceIn(tx)), ...registered }),
    )
    this.tellRows([])
  }

  unsent(from_no: number): Promise<Entry[]> {
    return this.db.run('readonly', ['outbox', 'meta'], async (tx) => {
      const [entries, device] = await Promise.all([tx.objectStore('outbox').getAll(), deviceIn(tx)])
      return inOrder(entries, device.id).filter(
        (entry) => isUnsent(entry) && entry.device_id === device.id && entry.no >= from_no,
      )
    })
  }

  async held(): Promise<Entry[]> {
    const entries = await this.db.run('readonly', ['outbox'], (tx) => tx.objectStore('outbox').getAll())
    return entries.filter(({ status }) => status === 'held')
  }

  async noteSent(ids: readonly string[]): Promise<void> {
    await this.changeEntries(ids, (entry) => ({ ...entry, status: 'sent', tries: entry.tries + 1 }))
  }

  async record(outcomes: readonly Outcome[]): Promise<void> {
    const byId = new Map(outcomes.map(({ id, ...outcome }) => [id, outcome]))
    await this.changeEntries([...byId.keys()], (entry) => ({ ...entry, ...byId.get(entry.id) }))
    this.tellRows([])
  }

  async keepSnapshotPage(page: SnapshotPage, before: SnapshotProgress | null): Promise<void> {
    const generation = before?.generation ?? (await this.nextGeneration())
    const progress = { after: page.after, cursor: before?.cursor ?? page.cursor, generation }
    const records = recordsOf(page.rows, generation)
    const isCurrent: Guard = async (tx) => same(await readMeta(tx, 'snapshot'), before)
    const last = await this.putEarly(records, isCurrent)
    const done = await this.db.run('readwrite', ['base', 'meta'], async (tx) => {
      if (!(await isCurrent(tx))) return false
      await putRecords(tx, last)
      if (progress.after !== null) {
        await writeMeta(tx, 'snapshot', progress)
        return false
      }
      await sweep(tx, generation)
      await Promise.all([
        tx.objectStore('meta').delete('snapshot'),
        writeMeta(tx, 'generation', generation),
        writeMeta(tx, 'cursor', progress.cursor),
      ])
      return true
    })
    if (done) this.tell({ tell: 'everything' })
  }

  async startOver(): Promise<void> {
    await this.db.run('readwrite', ['meta'], async (tx) => {
      const meta = tx.objectStore('meta')
      await Promise.all([meta.delete('cursor'), meta.delete('snapshot')])
    })
  }

  async keepPage(page: Page, from_cursor: string): Promise<void> {
    const { generation } = await this.db.run('readonly', ['meta'], async (tx) => ({
      generation: (await readMeta(tx, 'generation')) ?? 0,
    }))
    const records = recordsOf(page.rows, generation)
    const isCurrent: Guard = async (tx) => (await readMeta(tx, 'cursor')) === from_cursor
    const last = await this.putEarly(records, isCurrent)
    await this.db.run('readwrite', ['base', 'outbox', 'kept', 'meta'], async (tx) => {
      if (!(await isCurrent(tx))) return
      await putRecords(tx, last)
      await Promise.all(page.gone.map(([kind, id]) => tx.objectStore('base').delete([kind, id])))
      await writeMeta(tx, 'cursor', page.cursor)
      if (page.more) return
      const device = await deviceIn(tx)
      await settle(tx, page.acks)
      await forgetSafe(tx, device.id, page.safe_no)
      await writeMeta(tx, 'last_synced_at', stamp().wall)
    })
    this.tellRows([...records.map(({ kind, id }) => [kind, id] as const), ...page.gone])
  }

  async keepNothingNew(): Promise<void> {
    await this.db.run('readwrite', ['outbox', 'kept', 'meta'], async (tx) => {
      await settle(tx, {})
      await writeMeta(tx, 'last_synced_at', stamp().wall)
    })
    this.tellRows([])
  }

  async resubmit(from_no: number): Promise<void> {
    await this.db.run('readwrite', ['outbox', 'kept', 'aside', 'meta'], async (tx) => {
      const device = await deviceIn(tx)
      const forgotten = (entry: Entry) =>
        entry.device_id === device.id && entry.no >= from_no && !isUnsent(entry)
      for (const name of ['kept', 'aside', 'outbox'] as const) {
        for (const entry of (await tx.objectStore(name).getAll()).filter(forgotten)) {
          if (name !== 'outbox') await tx.objectStore(name).delete(entry.id)
          await tx
            .objectStore('outbox')
            .put({ ...entry, status: 'waiting', code: null, words: null, fields: [] })
        }
      }
    })
    this.tellRows([])
  }

  async beginAnew(): Promise<void> {
    await beginAnew(this.db)
    this.tellRows([])
  }

  async retire(): Promise<void> {
    await this.db.run('readwrite', ['base', 'meta', 'pictures', 'sending'], async (tx) => {
      await Promise.all([clearRows(tx), clearSent(tx)])
      await writeMeta(tx, 'device', { ...(await deviceIn(tx)), retired: true })
    })
    this.tell({ tell: 'everything' })
  }

  private async nextGeneration(): Promise<number> {
    const known = await this.db.run('readonly', ['meta'], (tx) => readMeta(tx, 'generation'))
    return (known ?? 0) + 1
  }

  /** Puts all but the last rows in relaxed transactions of their own. Returns those still to be put. */
  private async putEarly(records: readonly BaseRecord[], isCurrent: Guard): Promise<readonly BaseRecord[]> {
    const early = Math.max(0, Math.ceil(records.length / MOST_ROWS) - 1)
    for (let at = 0; at < early; at++) {
      const some = records.slice(at * MOST_ROWS, (at + 1) * MOST_ROWS)
      await this.db.run(
        'readwrite',
        ['base', 'meta'],
        async (tx) => ((await isCurrent(tx)) ? putRecords(tx, some) : undefined),
        'relaxed',
      )
    }
    return records.slice(early * MOST_ROWS)
  }

  private async changeEntries(ids: readonly string[], change: (entry: Entry) => Entry): Promise<void> {
    await this.db.run('readwrite', ['outbox'], async (tx) => {
      const outbox = tx.objectStore('outbox')
      for (const id of ids) {
        const entry = await outbox.get(id)
        if (entry) await outbox.put(change(entry))
      }
    })
  }

  /** More rows than are written at once are also read again as a whole. */
  private tellRows(keys: readonly Key[]): void {
    this.tell(keys.length > MOST_ROWS ? { tell: 'everything' } : { tell: 'rows', keys })
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

/** Takes out the rows that did not come with the newest snapshot. */
async function sweep(tx: Within<'base'>, generation: number): Promise<void> {
  const older = IDBKeyRange.upperBound(generation, true)
  const base = tx.objectStore('base')
  for (const key of await base.index('generation').getAllKeys(older)) await base.delete(key)
}

/** Applied commands whose effect is in the rows leave the outbox. */
async function settle(tx: Within<'outbox' | 'kept'>, acks: Readonly<Record<string, number>>): Promise<void> {
  const entries = await tx.objectStore('outbox').getAll()
  const settled = entries.filter(
    ({ status, no, device_id }) => status === 'applied' && no <= (acks[device_id] ?? no),
  )
  for (const entry of settled) {
    await tx.objectStore('outbox').delete(entry.id)
    await tx.objectStore('kept').put(entry)
  }
}

async function forgetSafe(tx: Within<'kept'>, device_id: string, safe_no: number): Promise<void> {
  if (safe_no === 0) return
  const kept = tx.objectStore('kept')
  for (const entry of await kept.getAll())
    if (entry.device_id === device_id && entry.no <= safe_no) await kept.delete(entry.id)
}

function same(stored: SnapshotProgress | undefined, before: SnapshotProgress | null): boolean {
  return stored?.generation === before?.generation && stored?.after === before?.after
}
