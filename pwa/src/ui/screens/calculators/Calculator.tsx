import './styles'
import { useState } from 'preact/hooks'
import {
  CALCULATOR_NAMES,
  CALCULATORS,
  type CalculatorName,
} from '../../../domain/bench/calculators/calculators'
import { calculate } from '../../../domain/bench/calculators/inputs'
import { INPUT_FAULTS } from '../../../domain/messages/inputs'
import { abouts, cautions, names, calculators as t } from '../../../domain/words/calculators'
import { Button, ButtonRow } from '../../components/Button'
import { Caution } from '../../components/Section'
import { units } from '../../features/dispatch/stopText'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { showToast } from '../../toast'
import { type CalculatorFields, rememberedFields, rememberFields, typedInputs } from './calculatorFields'
import { InputField } from './InputFields'
import { Result } from './Result'

interface Props {
  name: string
  jobId?: string
}

const isCalculator = (name: string): name is CalculatorName => CALCULATOR_NAMES.some((each) => each === name)

/** One calculator: its inputs, the result as one types, the working, the sources. */
export function Calculator({ name, jobId }: Props) {
  return isCalculator(name) ? <KnownCalculator key={name} name={name} jobId={jobId} /> : <NotFound />
}

function KnownCalculator({ name, jobId }: { name: CalculatorName; jobId: string | undefined }) {
  const calculator = CALCULATORS[name]
  const [fields, setFields] = useState(() => rememberedFields(name))
  const keep = (kept: CalculatorFields) => {
    setFields(kept)
    rememberFields(name, kept)
  }
  const calculation = calculate(calculator, typedInputs(calculator, fields, units()))
  const faults = 'faults' in calculation ? calculation.faults : {}
  const caution = cautions[name]
  return (
    <ShopPage
      title={names[name]}
      subtitle={abouts[name]}
      back={{ at: 'calculators', ...(jobId && { jobId }) }}
    >
      {caution && <Caution text={caution} />}
      {calculator.inputs.map((input) => (
        <InputField
          key={input.name}
          input={input}
          fields={fields}
          error={faultText(faults[input.name])}
          onChange={(changed) => keep({ ...fields, ...changed })}
        />
      ))}
      {'faults' in calculation ? (
        <p class="hint" aria-live="polite">
          {t.waiting}
        </p>
      ) : (
        <Result calculation={calculation} calculator={calculator} />
      )}
      {Object.keys(fields).length > 0 && (
        <ButtonRow>
          <Button label={t.clear} onPress={() => clear(fields, keep)} />
        </ButtonRow>
      )}
    </ShopPage>
  )
}

function clear(fields: CalculatorFields, keep: (fields: CalculatorFields) => void): void {
  keep({})
  showToast(t.cleared, async () => keep(fields))
}

/** An empty field says nothing: it is not wrong yet. */
function faultText(code: string | undefined): string | undefined {
  return code && code !== 'input_missing' ? INPUT_FAULTS[code as keyof typeof INPUT_FAULTS] : undefined
}
