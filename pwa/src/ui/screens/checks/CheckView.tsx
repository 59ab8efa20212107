import './styles'
import { RESULTS } from '../../../domain/bench/checks'
import type { Check, ItemResult } from '../../../domain/contract'
import { results, check as t } from '../../../domain/words/checks'
import { check, checksOf, recordCheck } from '../../../store/checks'
import { ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { Pictures } from '../../features/pictures/Pictures'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'
import { FindingButton } from './CheckRow'

const OPTIONS = RESULTS.map((value) => ({ value, label: results[value] }))

/** One check: its result, its note, its pictures, its finding. Saving records it anew; what was recorded stays. */
export function CheckView({ id }: { id: string }) {
  const row = check(id)
  return row ? <CheckForm row={row} /> : <NotFound />
}

function CheckForm({ row }: { row: Check }) {
  const all = checksOf(row.job_id).filter(({ item_id }) => item_id === row.item_id)
  const latest = all.at(-1) ?? row
  const form = useForm<{ result: ItemResult; words: string }>({
    name: `check-note:${row.id}`,
    blank: { result: latest.result, words: latest.words },
    save: ({ result, words }) => {
      const { job_id, item_id, list_name, item_words, critical, finding_id } = latest
      const of = { job_id, item_id, list_name, item_words, critical, finding_id }
      return recordCheck({ ...of, result, words: words.trim() })
    },
    back: { at: 'job-checks', id: row.job_id },
  })
  return (
    <FormPage
      form={form}
      overline={row.list_name}
      title={row.item_words}
      saveLabel={t.save}
      // Pictures are about the first check of an item on a job, so that a later result keeps them.
      after={<Pictures about_kind="check" about_id={all[0]?.id ?? row.id} />}
    >
      <RadioGroup horizontal label={t.result} options={OPTIONS} {...form.field('result')} />
      <TextField multiline label={t.words} {...form.field('words')} />
      {latest.result !== 'fine' && (
        <ButtonRow>
          <FindingButton check={latest} />
        </ButtonRow>
      )}
    </FormPage>
  )
}
