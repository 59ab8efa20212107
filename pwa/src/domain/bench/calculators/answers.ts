/**
 * What a calculator is: its inputs, its answer with the working, and where its rule comes from. Every figure is an exact
 * fraction, rounded where it is shown. Steps, verdicts and sources are codes, with words in `domain/words/calculators.ts`.
 * Twin of `shopapi/bench/rules/calculators`; both run `fixtures/bench/calculators.json`.
 */
import type { Quantity } from '../../contract.ts'
import { type Exact, exact, minus, over } from '../../numbers/decimal.ts'
import { toSi, UNITS } from '../../numbers/quantities.ts'

/** A value in a unit; a plain number has the unit ''. */
export interface Figure {
  readonly value: Exact
  readonly unit: string
}

/** One input: one of `choices`, else a value in a unit of one of `quantities`; with neither a plain number. */
export interface Input {
  readonly name: string
  readonly quantities?: readonly Quantity[]
  readonly choices?: readonly string[]
  /** Those of them that go with what else is chosen. */
  readonly choicesFor?: (chosen: Readonly<Record<string, string>>) => readonly string[]
  readonly optional?: true
  /** In base units; without them a value must be above zero. */
  readonly low?: Exact
  readonly high?: Exact
}

/** The inputs as read and checked. Optional ones that were left empty are in neither. */
export interface Given {
  readonly figures: Readonly<Record<string, Figure>>
  readonly choices: Readonly<Record<string, string>>
}

export type Figures = Readonly<Record<string, Figure>>

export interface WorkingStep {
  readonly code: string
  readonly figures: Figures
}

/** `results` by code, the main one first; `verdict` is '' where a calculator only calculates. */
export interface Calculation {
  readonly results: Figures
  readonly steps: readonly WorkingStep[]
  readonly verdict: string
}

/** Codes of what is wrong, by the name of the input. */
export type Faults = Readonly<Record<string, string>>

/** `makerFirst`: the rule is common practice, and the manufacturer's figure goes before it. */
export interface Calculator {
  readonly inputs: readonly Input[]
  readonly calculate: (given: Given) => Calculation
  readonly sources: readonly string[]
  readonly makerFirst: boolean
}

/** Thrown for what only the calculator itself can check. */
export class InputFault extends Error {
  readonly field: string
  readonly code: string
  constructor(field: string, code: string) {
    super(`${field}: ${code}`)
    this.field = field
    this.code = code
  }
}

export const PI: Exact = { n: 314_159_265_358_979_323_846n, d: 10n ** 20n }

/** The value of a required input. Throws for a name that the calculator does not declare. */
export function figureOf(given: Given, name: string): Figure {
  const figure = given.figures[name]
  if (!figure) throw new RangeError(name)
  return figure
}

/** A figure's value in base units; a plain number stays as it is. */
export function si({ value, unit }: Figure): Exact {
  return unit ? toSi(value, unit) : value
}

/** A value in base units as a figure in `unit`. */
export function figureIn(unit: string, value: Exact): Figure {
  const found = UNITS.get(unit)
  if (!found) throw new RangeError(unit)
  return { value: over(minus(value, found.offset), found.factor), unit }
}

/** A plain number as a figure. */
export const plain = (value: Exact | number): Figure => ({
  value: typeof value === 'number' ? exact(value) : value,
  unit: '',
})
