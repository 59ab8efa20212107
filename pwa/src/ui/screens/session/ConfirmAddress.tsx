import { confirmation as t } from '../../../domain/words/mailedLinks'
import { confirmAddress } from '../../../store/mailedLinks'
import { useForm } from '../../useForm'
import { answerOf, MailForm, tokenOf } from './MailForm'

/** Confirms a new address by a mailed link. Opening it changes nothing: mail scanners open links too. */
export function ConfirmAddress() {
  const form = useForm({
    name: 'confirm-address',
    blank: {},
    draft: false,
    save: async () => answerOf(await confirmAddress(tokenOf(location.hash))),
    saved: t.done,
  })
  return <MailForm title={t.title} lead={t.lead} save={t.go} form={form} />
}
