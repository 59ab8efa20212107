import type { LineKind, Quote, QuoteLine } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { linesOf } from '../../../store/quotes'
import { SelectField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import type { FormState } from '../../useForm'
import type { LineFormFields } from './lineFormFields'

const t = en.quote.line

interface Props {
  form: FormState<LineFormFields>
  row: Quote
  kind: LineKind
  seen: QuoteLine | null
}

/** Which work a line is part of, and whether the customer is asked about it by itself or at all. */
export function AskedFields({ form: { fields, field }, row, kind, seen }: Props) {
  const { asked = 'yes', workId = '' } = fields
  if (kind === 'travel' || kind === 'fee')
    return (
      <RadioGroup
        label={t.askedHow}
        options={[
          { value: 'yes', label: t.asked },
          { value: 'agreed', label: t.agreed, hint: t.agreedHint },
        ]}
        {...field('asked')}
        value={asked}
      />
    )
  const others = linesOf(row.id).filter(({ id }) => id !== seen?.id)
  const works = others.filter(
    (line) => !line.belongs_to_id && (line.kind === 'labor' || line.kind === 'part'),
  )
  // A work that other lines are part of is part of no other.
  const leads = seen !== null && others.some(({ belongs_to_id }) => belongs_to_id === seen.id)
  if ((kind !== 'labor' && kind !== 'part') || leads || !works.length) return null
  return (
    <>
      <SelectField
        label={t.belongsTo}
        options={[['', t.ownWork], ...works.map(({ id, words }) => [id, words] as const)]}
        {...field('workId')}
        value={workId}
      />
      {workId && (
        <RadioGroup
          label={t.askedHow}
          options={[
            { value: 'yes', label: t.together },
            { value: 'apart', label: t.apart, hint: t.apartHint },
          ]}
          {...field('asked')}
          value={asked}
        />
      )}
    </>
  )
}
