import { useState } from 'preact/hooks'
import type { Role } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { crew, newMember as its } from '../../../domain/words.crew'
import { letJoin } from '../../../store/crew'
import { permissions } from '../../../store/session'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { goTo } from '../../router'
import { tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const ROLES = (['mechanic', 'office', 'owner'] as const satisfies readonly Role[]).map((value) => ({
  value,
  words: en.settings.roles[value],
  hint: its.roleHints[value],
}))
/** The server takes no shorter one. */
export const SHORTEST_PASSWORD = 12

/** A person joins the shop. Needs a signal; a password is kept nowhere on the phone. */
export function NewMember() {
  const [fields, setFields] = useState({ name: '', email: '', password: '' })
  const [role, setRole] = useState<Role>('mechanic')
  const [cost, setCost] = useState<'yes' | 'no'>('no')
  const [wrong, setWrong] = useState<Record<string, string>>({})
  const [busy, setBusy] = useState(false)
  if (!permissions.value.has('manage_members')) return <Nowhere back={{ at: 'settings' }} />

  async function save() {
    const name = fields.name.trim()
    const email = fields.email.trim()
    const found = {
      ...(!name && { name: its.missingName }),
      ...(!/^\S+@\S+$/.test(email) && { email: its.missingEmail }),
      ...(fields.password.length < SHORTEST_PASSWORD && { password: its.missingPassword }),
    }
    setWrong(found)
    if (Object.keys(found).length || busy) return
    setBusy(true)
    const answer = await letJoin({ ...fields, name, email, role, may_see_cost: cost === 'yes' })
    setBusy(false)
    if (answer.done) {
      tell(its.added(name))
      return goTo({ at: 'members' }, { instead: true })
    }
    if (answer.fields.length)
      setWrong(Object.fromEntries(answer.fields.map(({ field, words }) => [field, words])))
    else tell(answer.words || crew.noSignal)
  }
  const put = (name: keyof typeof fields) => (value: string) => setFields({ ...fields, [name]: value })
  return (
    <Sheet
      over={crew.title}
      title={its.title}
      back={{ at: 'members' }}
      dock={<Slab words={its.save} form="new-member" busy={busy} />}
    >
      <Form id="new-member" wrong={wrong} onSend={() => void save()}>
        <Field
          label={its.name}
          value={fields.name}
          wrong={wrong['name']}
          capital="words"
          enter="next"
          onValue={put('name')}
        />
        <Field
          type="email"
          label={its.email}
          value={fields.email}
          wrong={wrong['email']}
          capital="off"
          enter="next"
          onValue={put('email')}
        />
        <Field
          label={its.password}
          hint={its.passwordHint}
          value={fields.password}
          wrong={wrong['password']}
          autocomplete="new-password"
          capital="off"
          enter="done"
          onValue={put('password')}
        />
        <Choice label={its.role} value={role} options={ROLES} onValue={setRole} />
        {role === 'mechanic' && (
          <Choice
            across
            label={its.cost}
            value={cost}
            options={[
              { value: 'no', words: its.no },
              { value: 'yes', words: its.yes },
            ]}
            onValue={setCost}
          />
        )}
      </Form>
    </Sheet>
  )
}
