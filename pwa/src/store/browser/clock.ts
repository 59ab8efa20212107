import { type Clocks, readClocks } from '../../api/client'
import { uuid7 } from '../../domain/ids'
import { moment } from '../../domain/time'

const MOST_LOADING_MS = 10_000
let minted_ms = 0

/** One opening of the app: within it `mono_ms` runs without jumps, but stands still while the phone sleeps. */
let session = newId()
/** What the monotonic clock of the page shows beyond that of this thread. */
let lead_ms = 0

/** Ids sort in the order they were made, two of one millisecond too (RFC 9562, 6.2 lets the time run ahead). */
export function newId(): string {
  minted_ms = Math.max(Date.now(), minted_ms + 1)
  return uuid7(minted_ms, crypto.getRandomValues(new Uint8Array(10)))
}

export interface ClockStamp {
  wall: string
  mono_ms: number
  session: string
}

/** The three clocks every command carries. */
export function stamp([wall_ms, mono_ms]: Clocks = readClocks()): ClockStamp {
  return { wall: moment(wall_ms), mono_ms: Math.round(mono_ms + lead_ms), session }
}

/** Lets a worker's stamps be those of the page that has just started it, whose clocks showed `page` then. */
export function adoptPageClock(page: ClockStamp): void {
  const [wall_ms, mono_ms] = readClocks()
  const since_ms = wall_ms - Date.parse(page.wall)
  // Its clock was set, or it slept, while the worker was loading: then the two have nothing in common.
  if (since_ms < 0 || since_ms > MOST_LOADING_MS) return
  session = page.session
  lead_ms = page.mono_ms + since_ms - mono_ms
}
