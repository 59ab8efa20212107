import type { Figures } from '../../../domain/figures'

/** The typed number one step further, never below zero, on whole steps; the step itself when it is no number. */
export function stepped(typed: string, step: number, figures: Figures): string {
  const now = Number(figures.readNumber(typed) ?? '0')
  const size = Math.abs(step)
  const steps = step > 0 ? Math.floor(now / size) + 1 : Math.ceil(now / size) - 1
  return figures.number(String(Math.max(0, steps * size)))
}
