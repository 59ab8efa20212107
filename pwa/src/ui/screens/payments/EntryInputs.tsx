import { payForm as t } from '../../../domain/words/payments'
import { TextField } from '../../components/Field'
import { More } from '../../components/More'
import { type FormPart, fieldBinder } from '../../useForm'
import type { EntryFields } from './payFields'

/** What is seldom said of an entry: its reference, another day, a note. */
export function EntryInputs(part: FormPart<EntryFields>) {
  const field = fieldBinder(part)
  const { errors, fields } = part
  return (
    <More
      label={t.more}
      names={t.moreNames}
      invalid={Boolean(errors['reference'] || errors['day'] || errors['note'])}
    >
      <TextField label={t.references[fields.method]} autocapitalize="characters" {...field('reference')} />
      <TextField type="date" label={t.day} {...field('day')} />
      <TextField multiline label={t.note} {...field('note')} />
    </More>
  )
}
