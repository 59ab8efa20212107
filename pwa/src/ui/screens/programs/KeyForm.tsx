import type { Permission } from '../../../domain/contract'
import { daysFrom } from '../../../domain/labor/worked'
import type { Day } from '../../../domain/time'
import { apiKeys as t } from '../../../domain/words/apiKeys'
import { programs } from '../../../domain/words/programs'
import { addApiKey } from '../../../store/apiKeys'
import { newId } from '../../../store/browser/clock'
import { session } from '../../../store/session/session'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { zone } from '../../shopFormat'
import { useForm } from '../../useForm'

/** Makes a key for another program. What it can do is chosen from what the person can. */
export function NewKey() {
  const own = session.value.permissions
  const options = Object.entries(t.permissions)
    .filter(([value]) => own.includes(value as Permission))
    .map(([value, label]) => ({ value, label }))
  const form = useForm<{ label: string; may: string[]; until: string }, string>({
    name: 'new-api-key',
    blank: { label: '', may: ['read'], until: '' },
    draft: false,
    check: ({ label, may }) => ({
      label: !label.trim() && t.missingLabel,
      may: !may.length && t.missingMay,
    }),
    save: async ({ label, may, until }) => {
      const id = newId()
      const permissions = may as Permission[]
      const answer = await addApiKey(id, { label: label.trim(), permissions, expires_at: endOf(until) })
      if (answer.done) return id
      const fields = answer.fields.map((fault) => ({ ...fault, field: NAMES[fault.field] ?? fault.field }))
      return { done: false, words: answer.words || programs.noSignal, fields }
    },
    next: (id) => ({ at: 'api-key', id }),
    saved: t.saved,
  })
  const { field, fields, errors, update } = form
  return (
    <FormPage form={form} overline={programs.title} title={t.add} saveLabel={t.save}>
      <TextField label={t.label} {...field('label')} />
      <CheckboxGroup
        label={t.may}
        options={options}
        values={fields.may}
        error={errors['may']}
        onValuesChange={(may) => update({ may })}
      />
      <TextField type="date" label={t.until} hint={t.untilHint} {...field('until')} />
    </FormPage>
  )
}

/** The fields of the form by the names of the server. */
const NAMES: Readonly<Record<string, string>> = { permissions: 'may', expires_at: 'until' }

/** The end of a day of the shop; null: the key does not end by itself. */
function endOf(day: string): string | null {
  const [found] = day ? daysFrom(day as Day, 1, zone.value) : []
  return found ? new Date(found.ends).toISOString() : null
}
