import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { crew, newPassword as its, newMember } from '../../../domain/words.crew'
import { changePassword } from '../../../store/crew'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { goTo } from '../../router'
import { tell } from '../../telling'
import { Sheet } from '../Sheet'
import { SHORTEST_PASSWORD } from './NewMember'

/** One's own password. Needs a signal; neither is kept on the phone. */
export function NewPassword() {
  const [old, setOld] = useState('')
  const [fresh, setFresh] = useState('')
  const [shown, setShown] = useState(false)
  const [wrong, setWrong] = useState<Record<string, string>>({})
  const [busy, setBusy] = useState(false)
  const type = shown ? 'text' : 'password'

  async function save() {
    const found = {
      ...(!old && { old: its.missingOld }),
      ...(fresh.length < SHORTEST_PASSWORD && { new: newMember.missingPassword }),
    }
    setWrong(found)
    if (Object.keys(found).length || busy) return
    setBusy(true)
    const answer = await changePassword(old, fresh)
    setBusy(false)
    if (answer.done) {
      tell(its.saved)
      return goTo({ at: 'settings' }, { instead: true })
    }
    if (answer.fields.length)
      setWrong(Object.fromEntries(answer.fields.map(({ field, words }) => [field, words])))
    else tell(answer.words || crew.noSignal)
  }
  return (
    <Sheet
      over={en.settings.title}
      title={its.title}
      back={{ at: 'settings' }}
      dock={<Slab words={its.save} form="new-password" busy={busy} />}
    >
      <Form id="new-password" wrong={wrong} onSend={() => void save()}>
        <Field
          type={type}
          label={its.old}
          value={old}
          wrong={wrong['old']}
          autocomplete="current-password"
          capital="off"
          enter="next"
          onValue={setOld}
        />
        <Field
          type={type}
          label={its.fresh}
          hint={its.freshHint}
          value={fresh}
          wrong={wrong['new']}
          autocomplete="new-password"
          capital="off"
          enter="done"
          onValue={setFresh}
        />
        <Keys tall>
          <Key wide words={shown ? en.signIn.hide : en.signIn.show} onPress={() => setShown(!shown)} />
        </Keys>
      </Form>
    </Sheet>
  )
}
