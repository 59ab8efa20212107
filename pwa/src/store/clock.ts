import { uuid7 } from '../domain/ids'
import { moment } from '../domain/time'

let minted_ms = 0

/** One opening of the app: within it `mono_ms` runs without jumps. */
const session = newId()

/** Ids sort in the order they were minted, two of one millisecond too (RFC 9562, 6.2 lets the time run ahead). */
export function newId(): string {
  minted_ms = Math.max(Date.now(), minted_ms + 1)
  return uuid7(minted_ms, crypto.getRandomValues(new Uint8Array(10)))
}

/** The three clocks every command carries. */
export function stamp(): { wall: string; mono_ms: number; session: string } {
  return { wall: moment(Date.now()), mono_ms: Math.round(performance.now()), session }
}
