import type { SafetyItem } from '../../../domain/contract'
import { moment } from '../../../domain/time'
import { safetyItems } from '../../../domain/words/safetyItems'
import { safetyItem } from '../../../store/findings'
import { notePartSearch } from '../../../store/safetyItems'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { itemText } from '../../features/safety/itemText'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'

const t = safetyItems.search

/** Records where the part for a safety device was asked for, and the answer. */
export function PartSearchForm({ id }: { id: string }) {
  const row = safetyItem(id)
  return row ? <SearchForm row={row} /> : <NotFound />
}

function SearchForm({ row }: { row: SafetyItem }) {
  const form = useForm({
    name: `part-search:${row.id}`,
    blank: { where: '', answer: '' },
    check: ({ where, answer }) => ({
      where: !where.trim() && t.missingWhere,
      answer: !answer.trim() && t.missingAnswer,
    }),
    save: ({ where, answer }) =>
      notePartSearch({
        id: row.id,
        where: where.trim(),
        answer: answer.trim(),
        asked_at: moment(Date.now()),
      }),
    back: { at: 'safety-item', id: row.id },
  })
  return (
    <FormPage form={form} overline={itemText(row)} title={t.title} saveLabel={t.save}>
      <TextField label={t.where} hint={t.whereHint} {...form.field('where')} />
      <TextField multiline label={t.answer} hint={t.answerHint} {...form.field('answer')} />
    </FormPage>
  )
}
