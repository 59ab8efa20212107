import { plainDecimal } from '../../domain/numbers/decimal'

const DECIMALS = ['hours', 'quantity', 'distance', 'discount_percent', 'warranty_hours'] as const

/** The normalized decimals of a line of a quote or an invoice. */
export function plainFigures(line: Partial<Record<(typeof DECIMALS)[number], string | null>>) {
  return Object.fromEntries(
    DECIMALS.flatMap((name) => (line[name] ? [[name, plainDecimal(line[name])]] : [])),
  )
}
