import './styles'
import { useState } from 'preact/hooks'
import type { Figure } from '../../../domain/bench/calculators/answers'
import {
  CALCULATOR_NAMES,
  CALCULATORS,
  type CalculatorName,
} from '../../../domain/bench/calculators/calculators'
import { calculate } from '../../../domain/bench/calculators/inputs'
import { INPUT_FAULTS } from '../../../domain/messages/inputs'
import { asShown } from '../../../domain/numbers/quantities'
import { abouts, cautions, names, calculators as t } from '../../../domain/words/calculators'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { Caution } from '../../components/Section'
import { units } from '../../features/dispatch/stopText'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { showToast } from '../../toast'
import {
  type CalculatorFields,
  figureText,
  rememberedFields,
  rememberFields,
  typedInputs,
} from './calculatorFields'
import { type Caller, callerOf } from './caller'
import { InputField } from './InputFields'
import { Result } from './Result'

interface Props extends Caller {
  name: string
}

const isCalculator = (name: string): name is CalculatorName => CALCULATOR_NAMES.some((each) => each === name)

/** One calculator: its inputs, the result as one types, the working, the sources. */
export function Calculator({ name, jobId, purpose }: Props) {
  if (!isCalculator(name)) return <NotFound />
  return <KnownCalculator key={name} name={name} jobId={jobId} purpose={purpose} />
}

function KnownCalculator({ name, jobId, purpose }: Caller & { name: CalculatorName }) {
  const calculator = CALCULATORS[name]
  const [fields, setFields] = useState(() => rememberedFields(name))
  const keep = (kept: CalculatorFields) => {
    setFields(kept)
    rememberFields(name, kept)
  }
  const calculation = calculate(calculator, typedInputs(calculator, fields, units()))
  const faults = 'faults' in calculation ? calculation.faults : {}
  const [main] = 'faults' in calculation ? [] : Object.values(calculation.results)
  const caution = cautions[name]
  return (
    <ShopPage
      title={names[name]}
      subtitle={abouts[name]}
      back={{ at: 'calculators', ...callerOf({ jobId, purpose }) }}
      dock={jobId && purpose === 'reading' && main && <UseInReading jobId={jobId} figure={main} />}
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

/** Hands the main result over to the reading that is being taken. */
function UseInReading({ jobId, figure }: { jobId: string; figure: Figure }) {
  const computed = `${asShown(figure.value)} ${figure.unit}`
  return (
    <PrimaryButton
      label={t.use(figureText(figure))}
      hint={t.useHint}
      to={{ at: 'job-reading', id: jobId, computed }}
    />
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
