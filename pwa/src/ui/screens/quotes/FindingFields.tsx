import type { Finding, FindingRank } from '../../../domain/contract'
import { LONGEST_FOUND } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { wordsIn } from '../../../domain/words/reader'
import { SelectField, TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { languageOf } from '../../readerLanguage'
import type { FormState } from '../../useForm'
import type { LineFormFields } from './lineFormFields'

const t = en.quote.line

interface Props {
  form: FormState<LineFormFields>
  findings: readonly Finding[]
  onFinding: (id: string) => void
}

/** The finding of the line, or its rank without one, and its price if done later. */
export function FindingFields({ form: { fields, field }, findings, onFinding }: Props) {
  return (
    <>
      {findings.length > 0 && (
        <SelectField
          label={t.forFinding}
          value={fields.findingId}
          options={[
            ['', en.quote.builder.wholeJob],
            ...findings.map(({ id, words }) => [id, words] as const),
          ]}
          onValueChange={onFinding}
        />
      )}
      {!fields.findingId && (
        <RadioGroup
          label={t.rankLabel}
          options={(Object.keys(en.ranks) as FindingRank[]).map((value) => ({
            value,
            label: en.ranks[value],
          }))}
          {...field('rank')}
          value={fields.rank ?? 'needed'}
        />
      )}
      <TextField
        decimal
        label={en.asking.later}
        hint={t.laterHint}
        {...field('later')}
        value={fields.later ?? ''}
      />
    </>
  )
}

/**
 * The fields a line takes from its finding: rank, and description and consequence where no other line has them yet.
 */
export function findingOptions(
  found: Finding | undefined,
  words: string,
  isSpokenOf: boolean,
): Partial<LineFormFields> {
  if (!found) return { findingId: '', found: '' }
  const about = { findingId: found.id, rank: found.rank }
  if (isSpokenOf) return { ...about, found: '' }
  const included = found.consequence && wordsIn(languageOf(found.job_id)).quote.consequence(found.consequence)
  return { ...about, words: words || found.words, found: found.words.slice(0, LONGEST_FOUND), included }
}
