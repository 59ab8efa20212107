import type { PositionSource } from '../../../domain/contract'
import { farWords } from '../../../domain/numbers/units'
import { en } from '../../../domain/words/index'
import { units } from './stopText'

/** A position that is not further off than this is one. */
const ABOUT_M = 500

/** "By the postal code: about here, within 4 mi": whence a position comes and how sure it is; empty for one as typed. */
export function sureness(source: PositionSource, within: number | null): string {
  const unit = units() === 'us' ? en.dispatch.road.mile : en.dispatch.road.kilometre
  const far = Math.ceil(Number(farWords(within ?? 0, units())))
  const about = within !== null && within >= ABOUT_M && en.dispatch.place.about(far, unit)
  return [source && en.dispatch.place.sources[source], about].filter(Boolean).join(': ')
}
