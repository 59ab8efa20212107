import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { secondStep as t } from '../../../domain/words/factors'
import { signInWithPasskey } from '../../../store/factors'
import { type SignInResult, signIn } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { hasPasskeys, signWithPasskey } from '../../features/passkeys/browserPasskeys'
import { currentToast } from '../../toast'

interface Props {
  email: string
  password: string
  onDone: () => void
  onBack: () => void
}

/** Asks for the second factor after the right password. */
export function SecondStep({ email, password, onDone, onBack }: Props) {
  const [code, setCode] = useState('')
  const [busy, setBusy] = useState(false)
  const [errors, setErrors] = useState<{ code?: string }>({})

  async function go(asked: () => Promise<SignInResult>, trouble: string) {
    if (busy) return
    setBusy(true)
    const answer = await asked().catch(() => null)
    setBusy(false)
    if (answer?.done) return onDone()
    if (answer?.because === 'no_signal') return setErrors({ code: t.noSignal })
    setErrors({ code: answer?.words || trouble })
  }
  function submit() {
    if (!code.trim()) return setErrors({ code: t.missing })
    void go(() => signIn(email, password, code.trim()), en.signIn.refused)
  }
  return (
    <Page
      variant="sign-in"
      overline={en.app.name}
      title={t.title}
      subtitle={t.lead}
      toast={currentToast.value}
      dock={<PrimaryButton label={busy ? en.signIn.busy : t.go} form="second-step" busy={busy} />}
    >
      <Form id="second-step" errors={errors} onSubmit={submit}>
        <TextField
          label={t.code}
          value={code}
          error={errors.code}
          autocomplete="one-time-code"
          autocapitalize="off"
          enterKey="go"
          onValueChange={setCode}
        />
        <ButtonRow stacked>
          {hasPasskeys() && (
            <Button
              wide
              label={t.passkey}
              onPress={() => void go(() => signInWithPasskey(signWithPasskey), t.declined)}
            />
          )}
          <Button wide label={en.app.back} onPress={onBack} />
        </ButtonRow>
      </Form>
    </Page>
  )
}
