import { Problem } from '../../api/problem'
import { readSession } from '../../api/session'
import {
  getCommand,
  getPull,
  getSnapshot,
  postDevice,
  postPush,
  type SchemaEnvelope,
  type SchemaOutcome,
} from '../../api/sync'
import { stamp } from '../browser/clock'
import type { Contact } from '../database/meta'
import type { OutboxEntry } from '../queue/entry'
import type {
  Outcome,
  Page,
  Registration,
  RemotePort,
  Resync,
  RowsByKind,
  SnapshotPage,
  WorkingSetPage,
} from './ports'

/**
 * The server's side of syncing, over HTTP. `label` names the device for people, `build` the app's version, `contacts`
 * gives the exchanges since before a command.
 */
export class HttpRemote implements RemotePort {
  private readonly label: string
  private readonly build: string
  private readonly contacts: (no: number) => Promise<readonly Contact[]>

  constructor(label: string, build: string, contacts: (no: number) => Promise<readonly Contact[]>) {
    this.label = label
    this.build = build
    this.contacts = contacts
  }

  async whoIsSignedIn(): Promise<string | null> {
    const { signed_in, member } = await readSession()
    return signed_in && member ? member.id : null
  }

  async register(device_id: string): Promise<Registration> {
    const { letter, epoch } = await postDevice(device_id, this.label, this.build)
    return { letter, epoch: String(epoch) }
  }

  async push(device_id: string, entries: readonly OutboxEntry[]): Promise<Outcome[]> {
    const contacts = await this.contacts(entries[0]?.no ?? 1)
    const results = await postPush({
      contacts,
      device: device_id,
      build: this.build,
      sent_wall: stamp().wall,
      commands: entries.map(envelopeOf),
    })
    return results.map(outcomeOf)
  }

  async pull(device_id: string, cursor: string): Promise<Page | { resync: Resync } | null> {
    const answer = await getPull(device_id, this.build, cursor)
    if (answer === null) return null
    if (answer.resync) return { resync: answer.resync as Resync }
    return {
      rows: rowsOf(answer.rows ?? {}),
      gone: (answer.gone ?? []) as Page['gone'],
      acks: answer.acks ?? {},
      cursor: answer.cursor ?? cursor,
      more: answer.more ?? false,
      safe_no: answer.safe_no ?? 0,
    }
  }

  async workingSet(device_id: string, after: string | null): Promise<WorkingSetPage> {
    const { rows, after: next } = await getSnapshot(device_id, this.build, after, 'first')
    return { rows: rowsOf(rows), after: next }
  }

  async snapshot(device_id: string, after: string | null): Promise<SnapshotPage> {
    const { rows, after: next, cursor, total } = await getSnapshot(device_id, this.build, after)
    return { rows: rowsOf(rows), after: next, cursor, total: total ?? null }
  }

  async outcome(command_id: string): Promise<Outcome | null> {
    try {
      return outcomeOf(await getCommand(command_id))
    } catch (error) {
      if (error instanceof Problem && error.status === 404) return null
      throw error
    }
  }
}

/** Rows follow the contract; a newer server may send more fields. */
function rowsOf(rows: object): RowsByKind {
  return rows as RowsByKind
}

function envelopeOf({ id, no, name, v, args, wall, mono_ms, session, earlier }: OutboxEntry): SchemaEnvelope {
  const before = earlier ? { ...earlier, fields: [...earlier.fields] } : null
  return { id, no, name, v, args: { ...args }, wall, mono_ms, session, earlier: before }
}

/** A duplicate has the status recorded first. */
function outcomeOf({ id, no, status, first, seq, code, words, fields, ...kept }: SchemaOutcome): Outcome {
  const recorded = status === 'duplicate' ? first : status
  if (!recorded || recorded === 'duplicate') throw new TypeError('a repetition names its first outcome')
  return {
    id,
    status: recorded,
    code: code ?? null,
    words: words ?? null,
    fields: fields ?? [],
    ...kept,
  }
}
