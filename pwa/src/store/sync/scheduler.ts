import { NoSignal, Problem } from '../../api/problem'
import { isQuotaError } from '../database/shopDatabase'
import { SyncStopped } from './syncRound'
import type { SyncStatus } from './tabChannel'

const EVERY_MS = 45_000
const FIRST_RETRY_MS = 2_000
/** While the phone is in use, saves are sent within this time after the connection is back. */
const LONGEST_RETRY_MS = 30_000

/** The scheduler's environment. */
export interface SchedulerPorts {
  round: () => Promise<void>
  report: (pulse: SyncStatus) => void
  /** Calls back once after a time; returns how to cancel that. */
  after: (ms: number, then: () => void) => () => void
  /** A random number in [0, 1). */
  random: () => number
}

/**
 * Runs rounds: at the start, when woken, and every 30 to 60 seconds. After a failure it waits longer each time, up to
 * 30 seconds; a wake tries at once. Only its own tries lengthen the wait: otherwise many saves without a signal would
 * delay their own sending.
 */
export class SyncScheduler {
  private readonly ports: SchedulerPorts
  private status: SyncStatus = { signal: 'unknown', working: false, stopped: null, no_room: false }
  private running = false
  private woken = false
  private backoff = 0
  private isAutomatic = false
  private cancelTimer: () => void = () => undefined

  constructor(ports: SchedulerPorts) {
    this.ports = ports
  }

  wake(): void {
    this.woken = true
    if (!this.running) void this.run()
  }

  /** Reports the status again, for a tab that has just opened. */
  reportAgain(): void {
    this.ports.report(this.status)
  }

  stop(): void {
    this.cancelTimer()
    this.running = true
  }

  private async run(): Promise<void> {
    this.running = true
    this.cancelTimer()
    this.update({ working: true })
    let wait_ms = 0
    while (this.woken) {
      this.woken = false
      wait_ms = await this.attempt()
    }
    this.running = false
    this.update({ working: false })
    this.cancelTimer = this.ports.after(wait_ms, () => {
      this.isAutomatic = true
      this.wake()
    })
  }

  private async attempt(): Promise<number> {
    const { isAutomatic: byItself } = this
    this.isAutomatic = false
    try {
      await this.ports.round()
      this.backoff = 0
      this.update({ signal: 'yes', stopped: null, no_room: false })
      return EVERY_MS * (2 / 3 + (2 / 3) * this.ports.random())
    } catch (error) {
      if (error instanceof SyncStopped) this.update({ signal: 'yes', stopped: error.because })
      else if (error instanceof NoSignal) this.update({ signal: 'no' })
      else if (error instanceof Problem) this.update({ signal: 'yes' })
      else if (isQuotaError(error)) this.update({ no_room: true })
      const asked_ms = error instanceof Problem ? (error.retry_after_s ?? 0) * 1000 : 0
      const longest = Math.min(LONGEST_RETRY_MS, FIRST_RETRY_MS * 2 ** this.backoff)
      if (byItself) this.backoff += 1
      return Math.max(asked_ms, longest * (0.5 + 0.5 * this.ports.random()))
    }
  }

  private update(change: Partial<SyncStatus>): void {
    this.status = { ...this.status, ...change }
    this.ports.report(this.status)
  }
}
