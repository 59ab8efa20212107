import { uuid7 } from '../domain/ids'
import { moment } from '../domain/time'

/** One opening of the app: within it `mono_ms` runs without jumps. */
const session = newId()

export function newId(): string {
  return uuid7(Date.now(), crypto.getRandomValues(new Uint8Array(10)))
}

/** The three clocks every command carries. */
export function stamp(): { wall: string; mono_ms: number; session: string } {
  return { wall: moment(Date.now()), mono_ms: Math.round(performance.now()), session }
}
