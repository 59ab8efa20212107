import { useState } from 'preact/hooks'
import { SHORTEST_PASSWORD } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { freshPassword as t } from '../../../domain/words/mailedLinks'
import { resetPassword } from '../../../store/mailedLinks'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { useForm } from '../../useForm'
import { answerOf, MailForm, tokenOf } from './MailForm'

/** Sets a new password by a mailed link. */
export function FreshPassword() {
  const [shown, setShown] = useState(false)
  const token = tokenOf(location.hash)
  const form = useForm({
    name: 'fresh-password',
    blank: { password: '' },
    draft: false,
    check: ({ password }) => ({
      password: (!token && t.noLink) || (password.length < SHORTEST_PASSWORD && t.missing),
    }),
    save: async ({ password }) => answerOf(await resetPassword(token, password)),
    saved: t.saved,
  })
  return (
    <MailForm title={t.title} lead={t.lead} save={t.save} form={form}>
      <TextField
        type={shown ? 'text' : 'password'}
        label={t.password}
        hint={t.hint}
        autocomplete="new-password"
        autocapitalize="off"
        enterKey="done"
        {...form.field('password')}
      />
      <ButtonRow stacked>
        <Button wide label={shown ? en.signIn.hide : en.signIn.show} onPress={() => setShown(!shown)} />
      </ButtonRow>
    </MailForm>
  )
}
