/**
 * Tax by profile (rounding point T1 and the shares S1 of `totals.ts`).
 *
 * Twin: `shopapi/quotes/rules/taxes.py`.
 */

import type { LineKind, TaxProfileInput, TaxRate, TaxRow } from '../contract.ts'
import { type Exact, exact, over, plainDecimal, plus, times } from '../numbers/decimal.ts'
import { type Minor, roundHalf, shareOut, sum } from '../numbers/money.ts'

/** The tax on some amounts. */
export interface Tax {
  /** The tax due. */
  readonly whole: Minor
  /** The tax of each amount; null where tax is rounded once for the whole. */
  readonly each: readonly (Minor | null)[]
  /** The tax included in prices, removed for an exempt customer. */
  readonly takenOut: Minor
  /** The tax due by rate; empty when nothing is taxed. */
  readonly rows: readonly TaxRow[]
}

/** Whether the profile taxes a kind of line; `withParts`: the shop supplies a part too. */
export function isTaxed(profile: TaxProfileInput, kind: LineKind, withParts: boolean): boolean {
  if (kind === 'discount') return false
  if (profile.lumped) return true
  if (kind !== 'labor') return profile[kind]
  return profile.labor === 'always' || (profile.labor === 'when_parts_supplied' && withParts)
}

/**
 * The tax by some rates of a profile on one amount, rounded once (T1): added to the amount, or included in it where
 * prices include the tax of all rates.
 */
function taxOf(amount: Minor, profile: TaxProfileInput, rates: readonly TaxRate[]): Minor {
  const onTop = times(exact(amount), sumOf(rates))
  return roundHalf(
    profile.inclusive ? over(onTop, plus(exact(1), sumOf(profile.rates))) : onTop,
    profile.rounding,
  )
}

function sumOf(rates: readonly TaxRate[]): Exact {
  const percents = rates.reduce((all, { percent }) => plus(all, exact(percent)), exact(0))
  return over(percents, exact(100))
}

/** The tax on amounts, all of them taxed; `exempt`: for a customer who pays none. */
export function taxOn(profile: TaxProfileInput, amounts: readonly Minor[], exempt: boolean): Tax {
  const byLine = profile.per === 'line'
  const base = sum(amounts)
  const bases = byLine ? amounts : [base]
  const { each, shares } = profile.rates_rounded === 'each' ? byRate(profile, bases) : cutUp(profile, bases)
  const whole = sum(each)
  if (exempt) {
    const nothing = byLine ? 0 : null
    return { whole: 0, each: amounts.map(() => nothing), takenOut: profile.inclusive ? whole : 0, rows: [] }
  }
  return {
    whole,
    each: byLine ? each : amounts.map(() => null),
    takenOut: 0,
    rows: rows(profile, base, shares),
  }
}

/** The tax of each amount, and of each rate. */
interface Parts {
  readonly each: readonly Minor[]
  readonly shares: readonly Minor[]
}

/** Every rate rounded by itself. */
function byRate(profile: TaxProfileInput, bases: readonly Minor[]): Parts {
  const taxes = profile.rates.map((rate) => bases.map((base) => taxOf(base, profile, [rate])))
  return { each: bases.map((_, at) => sum(taxes.map((own) => own[at] ?? 0))), shares: taxes.map(sum) }
}

/** The sum of all rates rounded once, then split among them (S1). */
function cutUp(profile: TaxProfileInput, bases: readonly Minor[]): Parts {
  const each = bases.map((base) => taxOf(base, profile, profile.rates))
  // Rates have at most six decimal digits, so in millionths each is an integer weight.
  const weights = profile.rates.map(({ percent }) =>
    roundHalf(times(exact(percent), exact(1_000_000)), 'half_up'),
  )
  return { each, shares: shareOut(sum(each), weights) }
}

/** The tax on `base`: one row per rate with its share. */
function rows(profile: TaxProfileInput, base: Minor, shares: readonly Minor[]): TaxRow[] {
  if (!base) return []
  return profile.rates.map(({ key, label, percent }, at) => ({
    key,
    label,
    percent: plainDecimal(percent),
    base_minor: profile.inclusive ? base - sum(shares) : base,
    tax_minor: shares[at] ?? 0,
  }))
}
