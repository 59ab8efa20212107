import { Problem } from '../api/problem'
import type { Entry } from './entry'
import type { LocalPort, RemotePort, Resync } from './ports'

/** At most this many commands, and this many bytes of them, go in one push; a longer one goes alone. */
const MOST_COMMANDS = 100
const MOST_BYTES = 400_000
/** A round that has to set things right more often than this cannot do it by itself. */
const MOST_REPAIRS = 4

/** Syncing has to wait for a person. */
export class Stopped extends Error {
  readonly because: 'signed_out' | 'retired' | 'upgrade' | 'other_member'

  constructor(because: Stopped['because']) {
    super(because)
    this.because = because
  }
}

/**
 * One round: sends what is unsent, then fetches what is new.
 *
 * @throws Stopped when a person has to do something first; NoSignal or Problem when it is to be tried later
 */
export async function syncOnce(member_id: string, local: LocalPort, remote: RemotePort): Promise<void> {
  const { device } = await local.read()
  if (device.retired) throw new Stopped('retired')
  try {
    const signed_in = await remote.whoIsSignedIn()
    if (signed_in === null) throw new Stopped('signed_out')
    if (signed_in !== member_id) throw new Stopped('other_member')
    await new Round(local, remote).run()
  } catch (error) {
    if (!(error instanceof Problem)) throw error
    if (error.status === 401) throw new Stopped('signed_out')
    if (error.status === 426) throw new Stopped('upgrade')
    if (error.status !== 410) throw error
    await local.retire()
    throw new Stopped('retired')
  }
}

class Round {
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
      // A server that came back from a backup may not know the device any more.
      await this.sendAgain()
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
      await this.local.startOver()
      if (resync === 'fork') await this.sendAgain()
    }
  }

  private async register(): Promise<void> {
    const { device } = await this.local.read()
    await this.local.keepRegistered(await this.remote.register(device.id))
  }

  private async push(): Promise<void> {
    let from_no = 1
    for (;;) {
      const batch = cut(await this.local.unsent(from_no))
      const last = batch.at(-1)
      if (last === undefined) return
      const { device } = await this.local.read()
      await this.local.noteSent(batch.map(({ id }) => id))
      try {
        await this.local.record(await this.remote.push(device.id, batch))
        from_no = last.no + 1
      } catch (error) {
        if (!(error instanceof Problem) || error.status !== 409) throw error
        this.countRepair(error)
        from_no =
          error.code === 'gap' && error.expect !== null
            ? await this.closeGap(error.expect)
            : await this.part()
      }
    }
  }

  /** The server expects another number than the first unsent one. Returns the number to go on from. */
  private async closeGap(expect: number): Promise<number> {
    const below = (await this.local.unsent(1)).filter(({ no }) => no < expect)
    await this.learn(below)
    await this.local.resubmit(expect)
    const [first] = await this.local.unsent(1)
    return first === undefined || first.no === expect ? expect : await this.part()
  }

  /**
   * Another phone uses this device's identity (one was copied from the other), or the numbers do not meet:
   * this one goes on as a new device. What the server has under the old identity is not sent again.
   */
  private async part(): Promise<number> {
    await this.learn(await this.local.unsent(1))
    await this.local.beginAnew()
    await this.register()
    return 1
  }

  private async learn(entries: readonly Entry[]): Promise<void> {
    for (const { id } of entries) {
      const outcome = await this.remote.outcome(id)
      if (outcome) await this.local.record([outcome])
    }
  }

  /** The server came back from a backup: it gets again what it may have lost. It knows what it still has. */
  private async sendAgain(): Promise<void> {
    await this.register()
    await this.local.resubmit(1)
    await this.push()
  }

  /** What was held may have been settled by a person, or by mending what it rested on. */
  private async review(): Promise<void> {
    await this.learn(await this.local.held())
  }

  private async snapshot(): Promise<void> {
    for (;;) {
      const { device, cursor, snapshot } = await this.local.read()
      if (cursor !== null && snapshot === null) return
      const page = await this.remote.snapshot(device.id, snapshot?.after ?? null)
      await this.local.keepSnapshotPage(page, snapshot)
    }
  }

  private async pull(): Promise<Resync | null> {
    for (;;) {
      const { device, cursor } = await this.local.read()
      if (cursor === null) return null
      const answer = await this.remote.pull(device.id, cursor)
      if (answer === null) {
        await this.local.keepNothingNew()
        return null
      }
      if ('resync' in answer) return answer.resync
      await this.local.keepPage(answer, cursor)
      if (answer.more) continue
      await this.review()
      return null
    }
  }

  private countRepair(because?: Error): void {
    if (++this.repairs > MOST_REPAIRS)
      throw because ?? new Error('the server asks to fetch everything again and again')
  }
}

/** The first of these that fit into one push. */
function cut(entries: readonly Entry[]): Entry[] {
  const batch: Entry[] = []
  let bytes = 0
  for (const entry of entries.slice(0, MOST_COMMANDS)) {
    bytes += new TextEncoder().encode(JSON.stringify(entry)).length
    if (batch.length > 0 && bytes > MOST_BYTES) break
    batch.push(entry)
  }
  return batch
}
