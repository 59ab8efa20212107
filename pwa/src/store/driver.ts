import { NoSignal, Problem } from '../api/problem'
import type { Pulse } from './channel'
import { isFull } from './db'
import { Stopped } from './sync'

const EVERY_MS = 45_000
const FIRST_RETRY_MS = 2_000
const LONGEST_RETRY_MS = 300_000

/** What the driver needs of the world around it. */
export interface DriverPorts {
  round: () => Promise<void>
  tell: (pulse: Pulse) => void
  /** Calls back once after a time; returns how to call it off. */
  after: (ms: number, then: () => void) => () => void
  /** A number from 0 up to but not 1. */
  random: () => number
}

/**
 * Runs rounds: at the start, when woken, and every 30 to 60 seconds. After a failure it waits longer each
 * time, up to five minutes; being woken makes it try at once.
 */
export class Driver {
  private readonly ports: DriverPorts
  private pulse: Pulse = { signal: 'unknown', working: false, stopped: null, no_room: false }
  private running = false
  private woken = false
  private failures = 0
  private callOff: () => void = () => undefined

  constructor(ports: DriverPorts) {
    this.ports = ports
  }

  wake(): void {
    this.woken = true
    if (!this.running) void this.run()
  }

  /** Says again how things stand, for somebody who has just begun to listen. */
  repeat(): void {
    this.ports.tell(this.pulse)
  }

  stop(): void {
    this.callOff()
    this.running = true
  }

  private async run(): Promise<void> {
    this.running = true
    this.callOff()
    this.show({ working: true })
    let wait_ms = 0
    while (this.woken) {
      this.woken = false
      wait_ms = await this.attempt()
    }
    this.running = false
    this.show({ working: false })
    this.callOff = this.ports.after(wait_ms, () => this.wake())
  }

  private async attempt(): Promise<number> {
    try {
      await this.ports.round()
      this.failures = 0
      this.show({ signal: 'yes', stopped: null, no_room: false })
      return EVERY_MS * (2 / 3 + (2 / 3) * this.ports.random())
    } catch (error) {
      this.failures += 1
      if (error instanceof Stopped) this.show({ signal: 'yes', stopped: error.because })
      else if (error instanceof NoSignal) this.show({ signal: 'no' })
      else if (error instanceof Problem) this.show({ signal: 'yes' })
      else if (isFull(error)) this.show({ no_room: true })
      const asked_ms = error instanceof Problem ? (error.retry_after_s ?? 0) * 1000 : 0
      const longest = Math.min(LONGEST_RETRY_MS, FIRST_RETRY_MS * 2 ** (this.failures - 1))
      return Math.max(asked_ms, longest * (0.5 + 0.5 * this.ports.random()))
    }
  }

  private show(change: Partial<Pulse>): void {
    this.pulse = { ...this.pulse, ...change }
    this.ports.tell(this.pulse)
  }
}
