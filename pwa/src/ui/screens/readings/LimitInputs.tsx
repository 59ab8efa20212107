import { unitSymbol } from '../../../domain/numbers/quantities'
import { readingView, measure as t } from '../../../domain/words/readings'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { More } from '../../components/More'
import { Section } from '../../components/Section'
import type { FormState } from '../../useForm'
import { measuredOf, type ReadingFormFields } from './readingFields'
import { limitText, sourceText } from './readingText'

type Form = Pick<FormState<ReadingFormFields>, 'fields' | 'field' | 'update' | 'errors'>
const MARKS = [
  { value: 'critical', label: t.critical },
  { value: 'second', label: t.secondMethod },
] as const

/** The limit to measure against: one that is known, or both ends typed here; and what is seldom needed. */
export function LimitInputs({ form }: { form: Form }) {
  const { fields, field, update } = form
  const isTolerance = fields.known?.tolerance
  const unit = fields.limitUnit || fields.unit
  const of = unit ? `, ${unitSymbol(unit)}` : ''
  const marks = [fields.critical && 'critical', fields.secondMethod && 'second'].filter((each) => !!each) as (
    | 'critical'
    | 'second'
  )[]
  return (
    <Section title={t.limit}>
      {isTolerance ? (
        <p>
          {[readingView.limitIs(limitText(measuredOf(fields))), sourceText(measuredOf(fields))].join(' · ')}
        </p>
      ) : (
        <div class="measure-pair">
          <TextField decimal label={`${t.low}${of}`} {...field('low')} />
          <TextField decimal label={`${t.high}${of}`} {...field('high')} />
        </div>
      )}
      <CheckboxGroup
        label=""
        values={marks}
        options={MARKS}
        onValuesChange={(chosen) =>
          update({ critical: chosen.includes('critical'), secondMethod: chosen.includes('second') })
        }
      />
      <More label={t.more} names={t.moreNames} invalid={false}>
        <TextField label={t.condition} hint={t.conditionHint} {...field('condition')} />
        <TextField label={t.manual} {...field('manual')} />
        <TextField label={t.page} {...field('page')} />
        <TextField multiline label={t.words} {...field('words')} />
      </More>
    </Section>
  )
}
