/** Reads the inputs of a calculator and says what cannot be right, by field. Twin of `bench/rules/calculators/inputs.py`. */
import { compare, exact, isDecimal } from '../../numbers/decimal.ts'
import { UNITS } from '../../numbers/quantities.ts'
import {
  type Calculation,
  type Calculator,
  type Faults,
  type Figure,
  type Input,
  InputFault,
  si,
} from './answers.ts'

type Read =
  | { given: { figures: Record<string, Figure>; choices: Record<string, string> } }
  | { faults: Faults }

/** The answer to inputs as typed ("25.5 lbf.ft", "50", a key of a choice), or what is wrong with them. */
export function calculate(
  { inputs, calculate: run }: Calculator,
  typed: Readonly<Record<string, string>>,
): Calculation | { faults: Faults } {
  const read = readInputs(inputs, typed)
  if ('faults' in read) return read
  try {
    return run(read.given)
  } catch (error) {
    if (error instanceof InputFault) return { faults: { [error.field]: error.code } }
    throw error
  }
}

function readInputs(inputs: readonly Input[], typed: Readonly<Record<string, string>>): Read {
  const figures: Record<string, Figure> = {}
  const choices: Record<string, string> = {}
  const faults: Record<string, string> = {}
  for (const input of inputs) {
    const text = typed[input.name]
    if (!text) {
      if (!input.optional) faults[input.name] = 'input_missing'
    } else if (input.choices) {
      choices[input.name] = text
      if (!input.choices.includes(text)) faults[input.name] = 'choice_unknown'
    } else {
      const figure = readFigure(input, text)
      if (typeof figure === 'string') faults[input.name] = figure
      else figures[input.name] = figure
    }
  }
  return Object.keys(faults).length ? { faults } : { given: { figures, choices } }
}

/** The figure, or the code of what is wrong with it. */
function readFigure({ quantities, low, high }: Input, text: string): Figure | string {
  const cut = text.indexOf(' ')
  const [amount, unit] = cut < 0 ? [text, ''] : [text.slice(0, cut), text.slice(cut + 1)]
  if (!isDecimal(amount)) return 'number_unreadable'
  const found = UNITS.get(unit)
  if (quantities && !found) return 'unit_unknown'
  if (quantities ? found && !quantities.includes(found.quantity) : unit) return 'unit_misfit'
  const figure = { value: exact(amount), unit }
  if (!low && !high) return figure.value.n > 0n ? figure : 'not_above_zero'
  const isTooLow = low && compare(si(figure), low) < 0
  const isTooHigh = high && compare(si(figure), high) > 0
  return isTooLow || isTooHigh ? 'figure_improbable' : figure
}
