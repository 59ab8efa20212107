import { Problem } from '../../api/problem'
import { PUSH } from '../../domain/contract'
import type { OutboxEntry } from '../queue/entry'
import type { LocalPort, RemotePort, Resync } from './ports'

/** At most this many bytes of commands go in one push; a longer one goes alone. */
const MAX_PUSH_BYTES = 400_000
/** A round with more corrections than this is stopped. */
const MAX_REPAIRS = 4

/** Syncing has to wait for a person. */
export class SyncStopped extends Error {
  readonly because: 'signed_out' | 'retired' | 'upgrade' | 'other_member'

  constructor(because: SyncStopped['because']) {
    super(because)
    this.because = because
  }
}

/**
 * One round: sends what is unsent, then fetches what is new. A signed-off device only uploads its queue.
 *
 * @throws SyncStopped when a person has to do something first; NoSignal or Problem when it is to be tried later
 */
export async function syncOnce(member_id: string, local: LocalPort, remote: RemotePort): Promise<void> {
  const { device } = await local.read()
  if (device.retired && (await local.unsent(1)).length === 0) throw new SyncStopped('retired')
  try {
    const signed_in = await remote.whoIsSignedIn()
    if (signed_in === null) throw new SyncStopped('signed_out')
    if (signed_in !== member_id) throw new SyncStopped('other_member')
    const round = new SyncRound(local, remote)
    await (device.retired ? round.push() : round.run())
  } catch (error) {
    if (!(error instanceof Problem)) throw error
    if (error.status === 401) throw new SyncStopped('signed_out')
    if (error.status === 426) throw new SyncStopped('upgrade')
    // This session may only upload, and this device is not even registered.
    const shut_out = error.status === 403 && error.code === 'forbidden'
    if (error.status !== 410 && !shut_out) throw error
    await local.retire()
    throw new SyncStopped('retired')
  }
  if (device.retired) throw new SyncStopped('retired')
}

class SyncRound {
  private readonly local: LocalPort
  private readonly remote: RemotePort
  private repairs = 0

  constructor(local: LocalPort, remote: RemotePort) {
    this.local = local
    this.remote = remote
  }

  async run(): Promise<void> {
    const { device } = await this.local.read()
    if (device.letter === null) await this.register()
    try {
      await this.exchange()
    } catch (error) {
      if (!(error instanceof Problem) || error.status !== 404) throw error
      // A restored server may not know the device any more.
      await this.resendAll()
      await this.exchange()
    }
  }

  private async exchange(): Promise<void> {
    await this.push()
    for (;;) {
      await this.snapshot()
      const resync = await this.pull()
      if (resync === null) return
      this.countRepair()
      await this.local.requestSnapshot()
      if (resync === 'fork') await this.resendAll()
    }
  }

  private async register(): Promise<void> {
    const { device } = await this.local.read()
    await this.local.saveRegistration(await this.remote.register(device.id))
  }

  async push(): Promise<void> {
    let from_no = 1
    for (;;) {
      const batch = firstBatch(await this.local.unsent(from_no))
      const last = batch.at(-1)
      if (last === undefined) return
      const { device } = await this.local.read()
      await this.local.noteSent(batch.map(({ id }) => id))
      try {
        await this.local.saveOutcomes(await this.remote.push(device.id, batch))
        from_no = last.no + 1
      } catch (error) {
        if (!(error instanceof Problem) || error.status !== 409) throw error
        this.countRepair(error)
        from_no =
          error.code === 'gap' && error.expect !== null
            ? await this.closeGap(error.expect)
            : await this.becomeNewDevice()
      }
    }
  }

  /** The server expects another number than the first unsent one. Returns the number to continue from. */
  private async closeGap(expect: number): Promise<number> {
    const below = (await this.local.unsent(1)).filter(({ no }) => no < expect)
    await this.fetchOutcomes(below)
    await this.local.resubmit(expect)
    const [first] = await this.local.unsent(1)
    return first === undefined || first.no === expect ? expect : await this.becomeNewDevice()
  }

  /**
   * Another phone uses this device's identity (one was copied from the other), or the numbers do not match: this one
   * continues as a new device. Commands that the server has under the old identity are not sent again.
   */
  private async becomeNewDevice(): Promise<number> {
    await this.fetchOutcomes(await this.local.unsent(1))
    await this.local.resetDevice()
    await this.register()
    return 1
  }

  private async fetchOutcomes(entries: readonly OutboxEntry[]): Promise<void> {
    for (const { id } of entries) {
      const outcome = await this.remote.outcome(id)
      if (outcome) await this.local.saveOutcomes([outcome])
    }
  }

  /** After a restore: resends everything that the server may have lost; it recognizes what it still has. */
  private async resendAll(): Promise<void> {
    await this.register()
    await this.local.resubmit(1)
    await this.push()
  }

  /** Held commands may have been settled by a person, or by a correction of their dependency. */
  private async checkHeld(): Promise<void> {
    await this.fetchOutcomes(await this.local.held())
  }

  private async snapshot(): Promise<void> {
    for (;;) {
      const { device, cursor, snapshot, complete, first } = await this.local.read()
      if (cursor !== null && snapshot === null) return
      // A phone that has rows shows them until it has the new ones; a new one gets what it needs first.
      if (!complete && snapshot === null && (first === null || first.after !== null)) {
        const page = await this.remote.workingSet(device.id, first?.after ?? null)
        await this.local.saveWorkingSetPage(page, first)
        continue
      }
      const page = await this.remote.snapshot(device.id, snapshot?.after ?? null)
      await this.local.saveSnapshotPage(page, snapshot)
      // On a thin line many pages take minutes: what is saved meanwhile does not wait for the last.
      await this.push()
    }
  }

  private async pull(): Promise<Resync | null> {
    for (;;) {
      const { device, cursor } = await this.local.read()
      if (cursor === null) return null
      const answer = await this.remote.pull(device.id, cursor)
      if (answer === null) {
        await this.local.savePullWithoutChanges()
        return null
      }
      if ('resync' in answer) return answer.resync
      await this.local.savePage(answer, cursor)
      if (answer.more) continue
      await this.checkHeld()
      return null
    }
  }

  private countRepair(because?: Error): void {
    if (++this.repairs > MAX_REPAIRS)
      throw because ?? new Error('the server asks to fetch everything again and again')
  }
}

/** The first of these that fit into one push. */
function firstBatch(entries: readonly OutboxEntry[]): OutboxEntry[] {
  const batch: OutboxEntry[] = []
  let bytes = 0
  for (const entry of entries.slice(0, PUSH.commands)) {
    bytes += new TextEncoder().encode(JSON.stringify(entry)).length
    if (batch.length > 0 && bytes > MAX_PUSH_BYTES) break
    batch.push(entry)
  }
  return batch
}
