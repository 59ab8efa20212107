import type { Calculation, Calculator } from '../../../domain/bench/calculators/answers'
import { unitSymbol } from '../../../domain/numbers/quantities'
import {
  results as labels,
  sources,
  stepText,
  calculators as t,
  verdictOf,
} from '../../../domain/words/calculators'
import { DescriptionList, Section } from '../../components/Section'
import { figureParts, figureText } from './calculatorFields'

/** Digits in the working: more than in the result, so that it can be followed. */
const WORKING_DIGITS = 5

/** A conversion has a result for each unit, which is named by it. */
const CONVERTED = 'in_'

const labelOf = (code: string) =>
  code.startsWith(CONVERTED) ? unitSymbol(code.slice(CONVERTED.length)) : labels[code as keyof typeof labels]

/** The result: verdict, main figure, other figures, then the working and the sources. */
export function Result({ calculation, calculator }: { calculation: Calculation; calculator: Calculator }) {
  const [[code, main] = [], ...others] = Object.entries(calculation.results)
  const [short, more] = calculation.verdict ? verdictOf(calculation.verdict) : ['', '']
  const [amount, unit] = main ? figureParts(main) : []
  return (
    <>
      <div class="calculation" aria-live="polite">
        {short && <p class="outcome">{short}</p>}
        {code && (
          <p class="main-figure">
            {!code.startsWith(CONVERTED) && <small>{labelOf(code)}</small>}
            <b>{amount}</b>
            <span>{unit}</span>
          </p>
        )}
        {more && <p>{more}</p>}
        <DescriptionList
          items={others.map(([name, figure]) => [
            labelOf(name),
            name.startsWith(CONVERTED) ? figureParts(figure)[0] : figureText(figure),
          ])}
        />
      </div>
      <Section title={t.working}>
        <ol class="working">
          {calculation.steps.map(({ code, figures }) => (
            <li key={code}>
              {stepText(code, (name, digits = WORKING_DIGITS) => {
                const figure = figures[name]
                return figure ? figureText(figure, digits) : ''
              })}
            </li>
          ))}
        </ol>
      </Section>
      <Section title={t.sources} hint={calculator.makerFirst ? t.makerFirst : ''}>
        <ul class="working">
          {calculator.sources.map((source) => (
            <li key={source}>{sources[source as keyof typeof sources]}</li>
          ))}
        </ul>
      </Section>
    </>
  )
}
