import { forgotten as t } from '../../../domain/words/mailedLinks'
import { askForReset } from '../../../store/mailedLinks'
import { TextField } from '../../components/Field'
import { useForm } from '../../useForm'
import { answerOf, MailForm } from './MailForm'

/** Asks for a mail with a link to set a new password. */
export function Forgotten() {
  const form = useForm({
    name: 'forgotten',
    blank: { email: '' },
    draft: false,
    check: ({ email }) => ({ email: !email.trim() && t.missingEmail }),
    save: async ({ email }) => answerOf(await askForReset(email.trim())),
    saved: t.sent,
  })
  return (
    <MailForm title={t.title} lead={t.lead} save={t.send} form={form}>
      <TextField
        type="email"
        label={t.email}
        hint={t.kept}
        autocomplete="username"
        autocapitalize="off"
        enterKey="go"
        {...form.field('email')}
      />
    </MailForm>
  )
}
