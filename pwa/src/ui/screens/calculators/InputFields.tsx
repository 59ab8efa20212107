import type { Input } from '../../../domain/bench/calculators/answers'
import { UNITS, unitSymbol, unitsOf } from '../../../domain/numbers/quantities'
import { choiceText, inputs as labels, calculators as t } from '../../../domain/words/calculators'
import { quantities as quantityWords, unitWithQuantity } from '../../../domain/words/quantities'
import { SelectField, TextField } from '../../components/Field'
import { units } from '../../features/dispatch/stopText'
import { type CalculatorFields, choicesOf, chosen, unitName, unitOf } from './calculatorFields'

interface Props {
  input: Input
  fields: CalculatorFields
  error: string | undefined
  onChange: (changed: CalculatorFields) => void
}

/** One input: a list of choices, or a number with its unit beside it. */
export function InputField({ input, fields, error, onChange }: Props) {
  const { name } = input
  const label = labels[name as keyof typeof labels]
  if (input.choices)
    return (
      <SelectField
        label={label}
        value={chosen(input, fields)}
        options={choicesOf(input, fields).map((each) => [each, choiceText(name, each)])}
        error={error}
        onValueChange={(value) => onChange({ [name]: value })}
      />
    )
  const amount = (
    <TextField
      decimal
      label={label}
      hint={input.optional && t.optional}
      value={fields[name] ?? ''}
      error={error}
      enterKey="next"
      onValueChange={(value) => onChange({ [name]: value })}
    />
  )
  const offered = unitOptions(input)
  if (offered.length < 2) return amount
  return (
    <div class="two-columns">
      {amount}
      <SelectField
        label={
          <>
            {t.unit}
            <span class="visually-hidden">: {label}</span>
          </>
        }
        value={unitOf(input, fields, units())}
        options={offered}
        onValueChange={(value) => onChange({ [unitName(name)]: value })}
      />
    </div>
  )
}

function unitOptions({ quantities = [] }: Input): [string, string][] {
  const many = quantities.length > 2
  return quantities.flatMap(unitsOf).map((key) => {
    const quantity = UNITS.get(key)?.quantity
    const symbol = unitSymbol(key)
    return [key, many && quantity ? unitWithQuantity(symbol, quantityWords[quantity]) : symbol]
  })
}
