import type { PublishedFigure } from '../../../domain/bench/publishedFigures'
import { compare } from '../../../domain/numbers/decimal'
import { toSi, unitSymbol } from '../../../domain/numbers/quantities'
import { testing } from '../../../domain/words/testing'
import { format } from '../../shopFormat'

const t = testing.form

/** "13.5 to 15.0 V": a published figure without where it is from. */
export function rangeText({ low, high, unit }: PublishedFigure): string {
  // As it is printed: the last zero says how finely.
  const shown = (value: string) => format.value.number(value)
  const range = low === undefined ? t.atMost(shown(high)) : t.between(shown(low), shown(high))
  return `${range} ${unitSymbol(unit)}`
}

/** A published figure as it is shown where the machine has no limit of its own. */
export function figureHint(figure: PublishedFigure): string {
  const range = rangeText(figure)
  return figure.source ? t.regulation(range, figure.source) : t.common(range)
}

/** Whether a reading is outside a published figure. */
export function isOutside(value: string, unit: string, { low, high, unit: of }: PublishedFigure): boolean {
  const read = toSi(value, unit)
  return compare(read, toSi(high, of)) > 0 || (low !== undefined && compare(read, toSi(low, of)) < 0)
}
