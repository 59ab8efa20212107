import type { ComponentChildren } from 'preact'
import { en } from '../../../domain/words'
import { noSignal } from '../../../domain/words/mailedLinks'
import type { ActionResult } from '../../../store/members'
import { PrimaryButton } from '../../components/Button'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { StatusLine } from '../../components/StatusLine'
import { currentToast } from '../../toast'
import type { FormState } from '../../useForm'

interface Props {
  title: string
  lead: string
  save: string
  form: Pick<FormState<object>, 'id' | 'errors' | 'busy'> & { submit: () => void }
  children?: ComponentChildren
}

/** A form that needs nobody signed in. */
export function MailForm({ title, lead, save, form, children }: Props) {
  return (
    <Page
      overline={en.app.name}
      title={title}
      subtitle={lead}
      statusLine={<StatusLine label={en.app.name} place={en.app.back} back={{ at: 'sign-in' }} />}
      toast={currentToast.value}
      dock={<PrimaryButton label={save} form={form.id} busy={form.busy} />}
    >
      <Form id={form.id} errors={form.errors} onSubmit={() => form.submit()}>
        {children}
      </Form>
    </Page>
  )
}

export const answerOf = (answer: ActionResult): ActionResult =>
  answer.done ? answer : { ...answer, words: answer.words || noSignal }

/** What comes after the `#` of a mailed link; the server never sees it in an address. */
export const tokenOf = (hash: string): string => hash.replace(/^#/u, '')
