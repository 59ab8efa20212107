import type { Limit, RunTestKind } from '../contract.ts'
import { boundsOf } from '../machines/limits.ts'
import { asShown } from '../numbers/quantities.ts'
import type { PublishedFigure } from './publishedFigures.ts'
import { QUANTITIES } from './runTests.ts'

/** What a limit is called that is about a test; the names are free text. */
const WHAT: { readonly [K in RunTestKind]?: RegExp } = {
  charge_voltage: /charg|alternator|stator|regulator/i,
  idle_speed: /^(?!.*high[ -]?idle).*\bidle/i,
  governed_speed: /govern|high[ -]?idle|full throttle|top speed/i,
  blade_stop_time: /blade.*stop|stop.*blade|blade brake/i,
}

/** What a test has to show by a limit of the machine: a figure that decides. Null where no limit is about the test. */
export function limitOfTest(kind: RunTestKind, limits: readonly Limit[]): PublishedFigure | null {
  for (const limit of limits) {
    const [low, high] = boundsOf(limit)
    if (limit.quantity !== QUANTITIES[kind] || !WHAT[kind]?.test(limit.what) || (!low && !high)) continue
    return {
      ...(low && { low: asShown(low, 6) }),
      ...(high && { high: asShown(high, 6) }),
      unit: limit.unit,
      own: [limit.what, limit.condition, limit.manual, limit.page].filter(Boolean).join(', '),
    }
  }
  return null
}
