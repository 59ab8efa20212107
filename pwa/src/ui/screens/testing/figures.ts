import type { PublishedFigure } from '../../../domain/bench/publishedFigures'
import { compare } from '../../../domain/numbers/decimal'
import { toSi, unitSymbol } from '../../../domain/numbers/quantities'
import { testing } from '../../../domain/words/testing'
import { format } from '../../shopFormat'

const t = testing.form

/** "13.5 to 15 V": a figure without where it is from. */
export function rangeText({ low, high, unit }: PublishedFigure): string {
  const shown = (value: string) => format.value.number(value)
  const range =
    low === undefined
      ? t.atMost(shown(high ?? ''))
      : high === undefined
        ? t.atLeast(shown(low))
        : t.between(shown(low), shown(high))
  return `${range} ${unitSymbol(unit)}`
}

/** A figure as it is shown: the machine's own limit, a regulation, or common practice. */
export function figureHint(figure: PublishedFigure): string {
  const range = rangeText(figure)
  if (figure.own) return t.limit(range, figure.own)
  return figure.source ? t.regulation(range, figure.source) : t.common(range)
}

/** Whether a reading is outside a figure. */
export function isOutside(value: string, unit: string, { low, high, unit: of }: PublishedFigure): boolean {
  const read = toSi(value, unit)
  return (
    (high !== undefined && compare(read, toSi(high, of)) > 0) ||
    (low !== undefined && compare(read, toSi(low, of)) < 0)
  )
}
