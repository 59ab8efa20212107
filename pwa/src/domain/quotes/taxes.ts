/**
 * Tax by profile (rounding point T1 and the shares S1 of `totals.ts`).
 *
 * Twin: `shopapi/quotes/rules/taxes.py`.
 */

import type { LineKind, TaxProfileInput, TaxRateInput, TaxRow } from '../contract.ts'
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

/** An amount that is taxed, with the kind of line that it is of. */
export interface Taxed {
  readonly amount: Minor
  readonly kind: LineKind
}

/** The rates of a profile that apply to a kind of line: those for everything, and those for this kind. */
export function ratesOf(profile: TaxProfileInput, kind: LineKind): readonly TaxRateInput[] {
  return profile.rates.filter(({ of }) => of == null || (of as readonly string[]).includes(kind))
}

/** The tax on an amount by those of some rates that apply to its kind: added to it, or included in it. */
function exactly({ amount, kind }: Taxed, profile: TaxProfileInput, rates: readonly TaxRateInput[]): Exact {
  const own = ratesOf(profile, kind)
  const tax = times(exact(amount), sumOf(rates.filter((rate) => own.includes(rate))))
  return profile.inclusive ? over(tax, plus(exact(1), sumOf(own))) : tax
}

function sumOf(rates: readonly TaxRateInput[]): Exact {
  const percents = rates.reduce((all, { percent }) => plus(all, exact(percent)), exact(0))
  return over(percents, exact(100))
}

type Unit = readonly Taxed[]

/**
 * The tax on amounts, all of them taxed; `exempt`: for a customer who pays none. What is rounded once (T1) is a line,
 * or else a class: all amounts with the same rates. Where rates are rounded each by itself and prices are without tax,
 * each is rounded once on all that it applies to.
 */
export function taxOn(profile: TaxProfileInput, amounts: readonly Taxed[], exempt: boolean): Tax {
  const byLine = profile.per === 'line'
  const units = byLine ? amounts.map((one) => [one]) : classes(profile, amounts)
  const { each, shares } =
    profile.rates_rounded === 'each'
      ? byRate(profile, byLine || profile.inclusive ? units : [amounts])
      : cutUp(profile, units)
  const whole = sum(each)
  if (exempt) {
    const nothing = byLine ? 0 : null
    return { whole: 0, each: amounts.map(() => nothing), takenOut: profile.inclusive ? whole : 0, rows: [] }
  }
  return {
    whole,
    each: byLine ? each : amounts.map(() => null),
    takenOut: 0,
    rows: rows(profile, amounts, { units, each, shares }),
  }
}

/** The amounts by the rates that apply to them, in the order of the first of each. */
function classes(profile: TaxProfileInput, amounts: readonly Taxed[]): Unit[] {
  const found = new Map<string, Taxed[]>()
  for (const one of amounts) {
    const name = ratesOf(profile, one.kind)
      .map(({ key }) => key)
      .join(' ')
    found.set(name, [...(found.get(name) ?? []), one])
  }
  return [...found.values()]
}

/** The tax of each unit, and of each rate. */
interface Parts {
  readonly each: readonly Minor[]
  readonly shares: readonly Minor[]
}

/** Every rate rounded by itself. */
function byRate(profile: TaxProfileInput, units: readonly Unit[]): Parts {
  const taxes = profile.rates.map((rate) =>
    units.map((unit) => roundHalf(inAll(profile, unit, [rate]), profile.rounding)),
  )
  return { each: units.map((_, at) => sum(taxes.map((own) => own[at] ?? 0))), shares: taxes.map(sum) }
}

function inAll(profile: TaxProfileInput, unit: Unit, rates: readonly TaxRateInput[]): Exact {
  return unit.reduce((all, one) => plus(all, exactly(one, profile, rates)), exact(0))
}

/** The sum of all rates rounded once for each unit; what a class comes to is split among its rates (S1). */
function cutUp(profile: TaxProfileInput, units: readonly Unit[]): Parts {
  const each = units.map((unit) => roundHalf(inAll(profile, unit, profile.rates), profile.rounding))
  const shares = new Map(profile.rates.map(({ key }) => [key, 0]))
  const of_class = new Map<string, { rates: readonly TaxRateInput[]; tax: Minor }>()
  for (const [at, [first]] of units.entries()) {
    const rates = first ? ratesOf(profile, first.kind) : []
    const name = rates.map(({ key }) => key).join(' ')
    of_class.set(name, { rates, tax: (of_class.get(name)?.tax ?? 0) + (each[at] ?? 0) })
  }
  for (const { rates, tax } of of_class.values()) {
    // Rates have at most six decimal digits, so in millionths each is an integer weight.
    const weights = rates.map(({ percent }) => roundHalf(times(exact(percent), exact(1_000_000)), 'half_up'))
    const sizes = sum(weights) ? shareOut(Math.abs(tax), weights) : weights
    for (const [at, { key }] of rates.entries())
      shares.set(key, (shares.get(key) ?? 0) + Math.sign(tax) * (sizes[at] ?? 0))
  }
  return { each, shares: [...shares.values()] }
}

/** One row per rate that applies to anything: its share, and what it applies to without the tax. */
function rows(
  profile: TaxProfileInput,
  amounts: readonly Taxed[],
  { units, each, shares }: Parts & { units: readonly Unit[] },
): TaxRow[] {
  return profile.rates.flatMap((rate, at) => {
    const applies = ({ kind }: Taxed) => ratesOf(profile, kind).includes(rate)
    const taxed = amounts.filter(applies).map(({ amount }) => amount)
    if (!taxed.some(Boolean)) return []
    const included = units.flatMap(([first], place) => (first && applies(first) ? (each[place] ?? 0) : []))
    return {
      key: rate.key,
      label: rate.label,
      percent: plainDecimal(rate.percent),
      base_minor: sum(taxed) - (profile.inclusive ? sum(included) : 0),
      tax_minor: shares[at] ?? 0,
    }
  })
}
