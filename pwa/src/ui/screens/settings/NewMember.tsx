import type { Role } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { crew, newMember as t } from '../../../domain/words/members'
import { newId } from '../../../store/browser/clock'
import { invite } from '../../../store/members'
import { TextField } from '../../components/Field'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { useForm } from '../../useForm'
import { formAnswer } from './useMembers'

const ROLES = (['mechanic', 'office', 'owner'] as const satisfies readonly Role[]).map((value) => ({
  value,
  label: en.settings.roles[value],
  hint: t.roleHints[value],
}))

/** Invites a person into the shop. Needs a signal. They set their own password behind the link that comes next. */
export function NewMember() {
  const form = useForm<{ name: string; email: string; role: Role; cost: boolean }, string>({
    name: 'new-member',
    blank: { name: '', email: '', role: 'mechanic', cost: false },
    draft: false,
    check: ({ name, email }) => ({
      name: !name.trim() && t.missingName,
      email: !/^\S+@\S+$/.test(email.trim()) && t.missingEmail,
    }),
    save: async ({ name, email, role, cost }) => {
      const id = newId()
      const person = { name: name.trim(), email: email.trim(), role, may_see_cost: cost }
      const answer = formAnswer(await invite(id, person))
      return answer.done ? id : answer
    },
    next: (id) => ({ at: 'member', id }),
    saved: ({ name }) => t.added(name.trim()),
  })
  const { field } = form
  return (
    <FormPage form={form} overline={crew.title} title={t.title} saveLabel={t.save}>
      <TextField label={t.name} autocapitalize="words" enterKey="next" {...field('name')} />
      <TextField type="email" label={t.email} autocapitalize="off" enterKey="done" {...field('email')} />
      <RadioGroup label={t.role} options={ROLES} {...field('role')} />
      {form.fields.role === 'mechanic' && (
        <BooleanRadioGroup
          horizontal
          label={t.cost}
          options={[
            [false, t.no],
            [true, t.yes],
          ]}
          {...field('cost')}
        />
      )}
    </FormPage>
  )
}
