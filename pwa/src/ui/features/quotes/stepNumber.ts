import type { NumberFormats } from '../../../domain/numbers/formats'

/** The typed number plus one step, rounded to whole steps and at least zero; the step itself where it is no number. */
export function stepNumber(typed: string, step: number, figures: NumberFormats): string {
  const now = Number(figures.readNumber(typed) ?? '0')
  const size = Math.abs(step)
  const steps = step > 0 ? Math.floor(now / size) + 1 : Math.ceil(now / size) - 1
  return figures.number(String(Math.max(0, steps * size)))
}
