/**
 * Tax by profile (rounding point T1 and the shares S1 of `reckoning.ts`).
 *
 * Twin: `shopapi/quotes/rules/taxes.py`.
 */
import type { TaxProfile } from './book.ts'
import { type DecimalText, exact, over, plainDecimal, plus, times } from './decimal.ts'
import type { LineKind } from './lines.ts'
import { type Minor, roundHalf, shareOut, sum } from './money.ts'

/** One rate's share of the tax; `base_minor` is the amount taxed, without the tax. */
export interface TaxRow {
  readonly key: string
  readonly label: string
  readonly percent: DecimalText
  readonly base_minor: Minor
  readonly tax_minor: Minor
}

/** The tax on some amounts. */
export interface Tax {
  /** What is owed. */
  readonly whole: Minor
  /** Of each amount by itself; null where tax is rounded once for the whole. */
  readonly each: readonly (Minor | null)[]
  /** What prices that hold the tax held of it, for a customer who pays none. */
  readonly takenOut: Minor
  /** The whole, by rate; none when nothing is taxed. */
  readonly rows: readonly TaxRow[]
}

/** Whether the profile taxes a kind of line; `withParts`: the shop supplies a part too. */
export function isTaxed(profile: TaxProfile, kind: LineKind, withParts: boolean): boolean {
  if (kind === 'discount') return false
  if (profile.lumped) return true
  if (kind !== 'labor') return profile[kind]
  return profile.labor === 'always' || (profile.labor === 'when_parts_supplied' && withParts)
}

/** All rates of a profile on one amount together (T1): on top of it, or out of it when inclusive. */
export function taxOf(amount: Minor, profile: TaxProfile): Minor {
  const percents = profile.rates.reduce((all, { percent }) => plus(all, exact(percent)), exact(0))
  const rate = over(percents, exact(100))
  const onTop = times(exact(amount), rate)
  return roundHalf(profile.inclusive ? over(onTop, plus(exact(1), rate)) : onTop, profile.rounding)
}

/** The tax on amounts, all of them taxed; `exempt`: for a customer who pays none. */
export function taxOn(profile: TaxProfile, amounts: readonly Minor[], exempt: boolean): Tax {
  const byLine = profile.per === 'line'
  const base = sum(amounts)
  const each = byLine ? amounts.map((amount) => taxOf(amount, profile)) : [taxOf(base, profile)]
  const whole = sum(each)
  if (exempt) {
    const nothing = byLine ? 0 : null
    return { whole: 0, each: amounts.map(() => nothing), takenOut: profile.inclusive ? whole : 0, rows: [] }
  }
  return {
    whole,
    each: byLine ? each : amounts.map(() => null),
    takenOut: 0,
    rows: rows(profile, base, whole),
  }
}

/** The tax on `base` cut into its rates (S1). */
function rows(profile: TaxProfile, base: Minor, whole: Minor): TaxRow[] {
  if (!base) return []
  // Rates have six digits after the point at most: in millionths each is a whole weight.
  const weights = profile.rates.map(({ percent }) =>
    roundHalf(times(exact(percent), exact(1_000_000)), 'half_up'),
  )
  const shares = shareOut(whole, weights)
  return profile.rates.map(({ key, label, percent }, at) => ({
    key,
    label,
    percent: plainDecimal(percent),
    base_minor: profile.inclusive ? base - whole : base,
    tax_minor: shares[at] ?? 0,
  }))
}
