import './styles'
import { EXAMPLE_LISTS, itemsOfExample } from '../../../domain/bench/exampleLists'
import type { CheckItem, CheckList } from '../../../domain/contract'
import { checkListForm as t } from '../../../domain/words/checks'
import { newId } from '../../../store/browser/clock'
import { addCheckList, checkList, editCheckList, removeCheckList } from '../../../store/checks'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import type { Route } from '../../router'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { ItemFields } from './ItemFields'

export interface CheckListFormFields {
  name: string
  machine_kind: string
  purpose: string
  items: readonly CheckItem[]
}

/** A new list, empty or from an example (its number from 1); with a `jobId` the job's checks come next. */
export function NewCheckList({ example, jobId }: { example?: string; jobId?: string }) {
  const from = EXAMPLE_LISTS[Number(example) - 1]
  const blank = from
    ? { ...from, items: itemsOfExample(from, newId) }
    : { name: '', machine_kind: '', purpose: '', items: [{ id: newId(), words: '', critical: false }] }
  return <CheckListForm name={`check-list:new${example ?? ''}`} blank={blank} seen={null} jobId={jobId} />
}

export function ChangeCheckList({ id }: { id: string }) {
  const row = checkList(id)
  const seen = useOriginal(`check-list:${id}`, row)
  if (!row || !seen) return <NotFound />
  const { name, machine_kind, purpose, items } = seen
  return (
    <CheckListForm name={`check-list:${id}`} blank={{ name, machine_kind, purpose, items }} seen={seen} />
  )
}

interface Props {
  name: string
  blank: CheckListFormFields
  seen: CheckList | null
  jobId?: string | undefined
}

function CheckListForm({ name, blank, seen, jobId }: Props) {
  const back: Route = jobId ? { at: 'job-checks', id: jobId } : { at: 'check-lists' }
  const form = useForm<CheckListFormFields>({
    name,
    blank,
    check: ({ name, items }) => ({
      name: !name.trim() && t.missingName,
      items: !items.length && t.missingItems,
      ...Object.fromEntries(items.map(({ id, words }) => [`item:${id}`, !words.trim() && t.missingItem])),
    }),
    save: (fields) => {
      const list = { ...fields, items: fields.items.map((item) => ({ ...item, words: item.words.trim() })) }
      return seen ? editCheckList(seen, list) : addCheckList(list)
    },
    back,
  })
  const { field, fields, update } = form
  const add = () => update({ items: [...fields.items, { id: newId(), words: '', critical: false }] })
  return (
    <FormPage form={form} title={seen ? t.title : t.newTitle} saveLabel={t.save}>
      <TextField label={t.name} {...field('name')} />
      <TextField label={t.kind} hint={t.kindHint} autocapitalize="off" {...field('machine_kind')} />
      <TextField label={t.purpose} hint={t.purposeHint} {...field('purpose')} />
      <ItemFields items={fields.items} errors={form.errors} onItems={(items) => update({ items })} />
      <ButtonRow stacked>
        <Button wide label={t.addItem} onPress={add} />
        {seen && (
          <Button
            wide
            label={t.delete}
            onPress={() => void form.remove({ action: () => remove(seen), text: t.deleted })}
          />
        )}
      </ButtonRow>
    </FormPage>
  )
}

async function remove({ id, name, machine_kind, purpose, items }: CheckList) {
  await removeCheckList(id)
  return () => addCheckList({ name, machine_kind, purpose, items })
}
