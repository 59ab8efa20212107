import { useState } from 'preact/hooks'
import { SHORTEST_PASSWORD } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { newPassword as t } from '../../../domain/words/members'
import { changePassword } from '../../../store/members'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { useForm } from '../../useForm'
import { formAnswer } from './useMembers'

/** The server refuses shorter ones. */

/** Changes the member's own password. Needs a signal; neither password is stored. */
export function NewPassword() {
  const [shown, setShown] = useState(false)
  const type = shown ? 'text' : 'password'
  const form = useForm({
    name: 'new-password',
    blank: { old: '', new: '' },
    draft: false,
    check: (fields) => ({
      old: !fields.old && t.missingOld,
      new: fields.new.length < SHORTEST_PASSWORD && t.missingNew,
    }),
    save: async (fields) => formAnswer(await changePassword(fields.old, fields.new)),
    saved: t.saved,
  })
  const { field } = form
  return (
    <FormPage form={form} overline={en.settings.title} title={t.title} saveLabel={t.save}>
      <TextField
        type={type}
        label={t.old}
        autocomplete="current-password"
        autocapitalize="off"
        enterKey="next"
        {...field('old')}
      />
      <TextField
        type={type}
        label={t.fresh}
        hint={t.freshHint}
        autocomplete="new-password"
        autocapitalize="off"
        enterKey="done"
        {...field('new')}
      />
      <ButtonRow stacked>
        <Button wide label={shown ? en.signIn.hide : en.signIn.show} onPress={() => setShown(!shown)} />
      </ButtonRow>
    </FormPage>
  )
}
