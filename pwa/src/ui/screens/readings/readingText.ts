import { conformity, settlingUncertainty } from '../../../domain/bench/decisions'
import { limitsOf, type Measured, rangeOf, uncertaintyOf, verdictOf } from '../../../domain/bench/readings'
import { inUnit, spanInUnit } from '../../../domain/bench/readingText'
import type { GaugeCopy } from '../../../domain/contract'
import { boundsOf } from '../../../domain/machines/limits'
import { compare, minus, plus } from '../../../domain/numbers/decimal'
import { asShown, unitSymbol } from '../../../domain/numbers/quantities'
import { readingView as t } from '../../../domain/words/readings'
import { format } from '../../shopFormat'

/** A figure as typed, with the shop's decimal mark: "0.010" keeps its last digit, which says how finely it was read. */
export const shown = (typed: string) => typed.replace('.', format.value.number('0.5').charAt(1))

/** "0.0116 in": a figure with its unit as printed. */
export const figure = (typed: string, unit: string) => `${shown(typed)} ${unitSymbol(unit)}`

/** What was read, as typed: a value, or what lies between two blades. */
export function valueText({ value, goes, stops, unit }: Measured): string {
  if (value) return figure(value, unit)
  if (goes && stops) return t.between(shown(goes), figure(stops, unit))
  return goes ? t.above(figure(goes, unit)) : t.below(figure(stops, unit))
}

/** The limit as entered, in its unit; empty without one. */
export function limitText({ limit }: Pick<Measured, 'limit'>): string {
  if (!limit) return ''
  const [low, high] = boundsOf(limit).map((bound) => bound && shown(asShown(bound, 6)))
  const symbol = unitSymbol(limit.unit)
  if (low && high) return `${t.between(low, high)} ${symbol}`
  if (low) return `${t.above(low)} ${symbol}`
  return high ? `${t.below(high)} ${symbol}` : ''
}

/** Where the limit is printed and when it holds. */
export function sourceText({ limit }: Pick<Measured, 'limit'>): string {
  if (!limit) return ''
  return [limit.condition, t.source(limit.manual, limit.page) || t.noSource].filter(Boolean).join(', ')
}

export const sureText = (gauge: Pick<GaugeCopy, 'uncertainty' | 'unit'>) =>
  figure(gauge.uncertainty, gauge.unit)

/** Why the verdict is what it is, in one or two sentences. */
export function reasonText(reading: Measured): string {
  const verdict = verdictOf(reading)
  if (verdict === 'no_limit') return t.noLimit
  if (verdict === 'within') return t.within
  if (verdict === 'outside') return t.outside
  const uncertainty = uncertaintyOf(reading.gauge)
  const [value] = rangeOf(reading)
  if (!uncertainty) return t.noGauge
  if (!reading.value || !value) return t.wide
  const [low, high] = limitsOf(reading)
  const [least, most] = [minus(value, uncertainty), plus(value, uncertainty)]
  const nearHigh = high && compare(most, high) > 0 && compare(value, high) <= 0
  const nearLow = low && compare(least, low) < 0 && compare(value, low) >= 0
  const beyondLow = low && compare(value, low) < 0
  // What it could be on the other side of the limit that it is close to.
  const [side, could] =
    beyondLow || (nearLow && !nearHigh)
      ? (['low', beyondLow ? most : least] as const)
      : (['high', nearHigh ? most : least] as const)
  const settles = settlingUncertainty(value, low, high)
  return [
    t.near(side, figure(inUnit(could, reading.unit), reading.unit)),
    settles && t.settle(figure(spanInUnit(settles, reading.unit), reading.unit)),
  ]
    .filter(Boolean)
    .join(' ')
}

/** "Probability that it is within: 84 %"; empty where there is none to state. */
export function likelyText(reading: Measured): string {
  const uncertainty = uncertaintyOf(reading.gauge)
  const [value] = rangeOf(reading)
  if (!reading.value || !uncertainty || !value) return ''
  const p = conformity(value, uncertainty, ...limitsOf(reading))
  if (p === null) return ''
  // Never 0 or 100: nobody knows that from a gauge.
  const percent = Math.min(Math.max(p * 100, 0.1), 99.9)
  return t.likely(format.value.percent(percent.toFixed(percent > 99 || percent < 1 ? 1 : 0)))
}
