import { en } from '../../../domain/words'
import { address as t } from '../../../domain/words/mailedLinks'
import { askForAddress } from '../../../store/mailedLinks'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { useForm } from '../../useForm'
import { formAnswer } from './useMembers'

/** Asks for another address to sign in with; a link that is mailed there confirms it. */
export function NewAddress() {
  const form = useForm({
    name: 'new-address',
    blank: { email: '', password: '' },
    draft: false,
    check: ({ email, password }) => ({
      email: !email.trim() && t.missingEmail,
      password: !password && t.missingPassword,
    }),
    save: async ({ email, password }) => formAnswer(await askForAddress(email.trim(), password)),
    saved: t.saved,
  })
  const { field } = form
  return (
    <FormPage form={form} overline={en.settings.title} title={t.title} saveLabel={t.save}>
      <TextField
        type="email"
        label={t.email}
        autocomplete="email"
        autocapitalize="off"
        enterKey="next"
        {...field('email')}
      />
      <TextField
        type="password"
        label={t.password}
        autocomplete="current-password"
        autocapitalize="off"
        enterKey="done"
        {...field('password')}
      />
    </FormPage>
  )
}
