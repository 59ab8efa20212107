/**
 * What rounding the punches would change for each member. Stored stamps are never rounded.
 *
 * Twin: `shopapi/labor/rules/rounding.py`, which names the source of the steps.
 */
import { ROUNDING_STEPS } from '../contract.ts'
import type { WorkedSpan } from './worked.ts'

export interface RoundingBias {
  member_id: string
  spans: number
  seconds: number
  /** The rounded seconds, by step in minutes. */
  rounded: Record<number, number>
  /** The steps by which the member would lose time. */
  against: number[]
}

/** Round to the nearest multiple of the step on the shop's local clock, in ms since 1970; half way rounds up. */
export function roundToStep(ms: number, stepMinutes: number, zone: string): number {
  const ahead = offsetIn(zone, ms)
  const step = stepMinutes * 60_000
  return Math.floor((ms + ahead + step / 2) / step) * step - ahead
}

/** Each member's time by each step, with both punches of every span rounded. */
export function roundingBiases(spans: readonly WorkedSpan[], zone: string): RoundingBias[] {
  const members = new Map<string, { from: number; to: number }[]>()
  for (const { member_id, started_at, ended_at } of spans) {
    const theirs = members.get(member_id) ?? []
    theirs.push({ from: Date.parse(started_at), to: Date.parse(ended_at) })
    members.set(member_id, theirs)
  }
  return [...members]
    .sort((a, b) => (a[0] < b[0] ? -1 : 1))
    .map(([member_id, theirs]) => {
      const seconds = theirs.reduce((sum, { from, to }) => sum + Math.floor((to - from) / 1000), 0)
      const steps = ROUNDING_STEPS.map((step) => {
        const ms = theirs.reduce(
          (sum, { from, to }) => sum + roundToStep(to, step, zone) - roundToStep(from, step, zone),
          0,
        )
        return [step, ms / 1000] as const
      })
      return {
        member_id,
        spans: theirs.length,
        seconds,
        rounded: Object.fromEntries(steps),
        against: steps.filter(([, each]) => each < seconds).map(([step]) => step),
      }
    })
}

const clocks = new Map<string, Intl.DateTimeFormat>()

/** How far a zone's clocks are ahead of UTC at a moment, in ms. */
function offsetIn(zone: string, ms: number): number {
  let clock = clocks.get(zone)
  if (!clock) {
    clock = new Intl.DateTimeFormat('en-US', {
      timeZone: zone,
      calendar: 'gregory',
      numberingSystem: 'latn',
      hourCycle: 'h23',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
      second: 'numeric',
    })
    clocks.set(zone, clock)
  }
  const parts = clock.formatToParts(ms)
  const part = (type: string) => Number(parts.find((found) => found.type === type)?.value)
  const shown = Date.UTC(
    part('year'),
    part('month') - 1,
    part('day'),
    part('hour'),
    part('minute'),
    part('second'),
  )
  return shown - Math.floor(ms / 1000) * 1000
}
