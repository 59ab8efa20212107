import type { Calculator, Figure, Input } from '../../../domain/bench/calculators/answers'
import type { Units } from '../../../domain/contract'
import { asShown, unitSymbol } from '../../../domain/numbers/quantities'
import { readStored, writeStored } from '../../../store/browser/safeStorage'
import { format, typedFormat } from '../../shopFormat'
import { usualUnit } from './usualUnits'

/** What is typed and chosen, by the name of the input; its unit under `unitName`. */
export type CalculatorFields = Readonly<Record<string, string>>

export const unitName = (name: string) => `${name}.unit`

/** Kept on this phone until they are cleared: they are no form that waits to be saved. */
const storageKey = (calculator: string) => `drawbar.calculator.${calculator}`

export function rememberedFields(calculator: string): CalculatorFields {
  try {
    return JSON.parse(readStored(storageKey(calculator)) ?? '{}') as CalculatorFields
  } catch {
    return {}
  }
}

export function rememberFields(calculator: string, fields: CalculatorFields): void {
  writeStored(storageKey(calculator), Object.keys(fields).length ? JSON.stringify(fields) : null)
}

/** The choices of an input, given what else is chosen. */
export const choicesOf = (input: Input, fields: CalculatorFields): readonly string[] =>
  input.choicesFor?.(fields) ?? input.choices ?? []

export function chosen(input: Input, fields: CalculatorFields): string {
  const choices = choicesOf(input, fields)
  const value = fields[input.name] ?? ''
  return choices.includes(value) ? value : (choices[0] ?? '')
}

export function unitOf({ name, quantities = [] }: Input, fields: CalculatorFields, units: Units): string {
  const [first] = quantities
  return fields[unitName(name)] ?? (first ? usualUnit(first, units) : '')
}

/** The inputs as a calculator reads them; a field in which nothing is typed is left out. */
export function typedInputs({ inputs }: Calculator, fields: CalculatorFields, units: Units) {
  const choices: Record<string, string> = {}
  for (const input of inputs)
    if (input.choices) choices[input.name] = chosen(input, { ...fields, ...choices })
  const typed = inputs.flatMap((input): [string, string][] => {
    if (input.choices) return [[input.name, choices[input.name] ?? '']]
    const text = fields[input.name]?.trim()
    if (!text) return []
    const amount = typedFormat.value.readNumber(text) ?? '?'
    return [[input.name, input.quantities ? `${amount} ${unitOf(input, fields, units)}` : amount]]
  })
  return Object.fromEntries(typed)
}

/** "10.17" and "N·m". */
export const figureParts = ({ value, unit }: Figure, digits = 4) =>
  [format.value.number(asShown(value, digits)), unitSymbol(unit)] as const

/** "10.17 N·m" */
export const figureText = (figure: Figure, digits?: number) => figureParts(figure, digits).join(' ').trim()
