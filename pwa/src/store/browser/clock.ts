import { type Clocks, readClocks } from '../../api/client'
import { uuid7 } from '../../domain/ids'
import { moment } from '../../domain/time'

const MOST_LOADING_MS = 10_000
let minted_ms = 0

/** One run of the app: within it `mono_ms` runs without jumps, but stops while the phone sleeps. */
let session = newId()
/** The page's monotonic clock minus this thread's. */
let lead_ms = 0

/** Ids sort in the order of creation, also within a millisecond (RFC 9562, 6.2 lets the time run ahead). */
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

/** Aligns a worker's clocks with those of the page that has just started it, which showed `page` then. */
export function adoptPageClock(page: ClockStamp): void {
  const [wall_ms, mono_ms] = readClocks()
  const since_ms = wall_ms - Date.parse(page.wall)
  // The clock was set, or the phone slept, while the worker was loading: then the two cannot be aligned.
  if (since_ms < 0 || since_ms > MOST_LOADING_MS) return
  session = page.session
  lead_ms = page.mono_ms + since_ms - mono_ms
}
