import { Problem } from '../api/problem'
import { readSession } from '../api/session'
import {
  getCommand,
  getPull,
  getSnapshot,
  postDevice,
  postPush,
  type WireCommand,
  type WireResult,
} from '../api/sync'
import { stamp } from './clock'
import type { Entry } from './entry'
import type { Outcome, Page, Registered, RemotePort, Resync, RowsByKind, SnapshotPage } from './ports'

/** The server's side of syncing, over HTTP. `label` names the device for people, `build` the app's version. */
export class HttpRemote implements RemotePort {
  private readonly label: string
  private readonly build: string

  constructor(label: string, build: string) {
    this.label = label
    this.build = build
  }

  async whoIsSignedIn(): Promise<string | null> {
    const { signed_in, member } = await readSession()
    return signed_in && member ? member.id : null
  }

  async register(device_id: string): Promise<Registered> {
    const { letter, epoch } = await postDevice(device_id, this.label, this.build)
    return { letter, epoch }
  }

  async push(device_id: string, entries: readonly Entry[]): Promise<Outcome[]> {
    const results = await postPush(device_id, this.build, stamp().wall, entries.map(wireCommand))
    return results.map(outcomeOf)
  }

  async pull(device_id: string, cursor: string): Promise<Page | { resync: Resync } | null> {
    const answer = await getPull(device_id, cursor)
    if (answer === null) return null
    if (answer.resync !== null) return { resync: answer.resync }
    const { resync: _, rows, gone, ...page } = answer
    return { ...page, rows: rows as RowsByKind, gone: gone as Page['gone'] }
  }

  async snapshot(device_id: string, after: string | null): Promise<SnapshotPage> {
    const answer = await getSnapshot(device_id, after)
    return { ...answer, rows: answer.rows as RowsByKind }
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

function wireCommand({ id, no, name, v, args, wall, mono_ms, session }: Entry): WireCommand {
  return { id, no, name, v, args, wall, mono_ms, session }
}

function outcomeOf({ id, status, first, code, words, fields }: WireResult): Outcome {
  const recorded = status === 'duplicate' ? (first ?? 'applied') : status
  return { id, status: recorded, code, words, fields }
}
