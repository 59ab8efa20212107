import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { hasForgottenShop, session, signIn } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { StatusLine } from '../../components/StatusLine'
import { currentRoute, navigate } from '../../router'
import { currentToast } from '../../toast'

const t = en.signIn

/** Sign-in, on a new phone and when the session has expired. */
export function SignIn() {
  const again = session.value.state === 'expired'
  const [typed, setTyped] = useState({ email: '', password: '' })
  const [busy, setBusy] = useState(false)
  const [errors, setErrors] = useState<Partial<Typed>>({})

  async function go() {
    const { email, password } = typed
    const found = {
      ...(!email.trim() && { email: t.missingEmail }),
      ...(!password && { password: t.missingPassword }),
    }
    setErrors(found)
    if (Object.keys(found).length || busy) return
    setBusy(true)
    const refused = await refusal(email.trim(), password).finally(() => setBusy(false))
    if (refused === null) {
      // What another app shared while nobody was signed in is asked about at once.
      if (currentRoute.peek().at !== 'share') navigate({ at: 'today' }, { replace: true })
      return
    }
    setErrors({ password: refused })
  }
  return (
    <Page
      variant="sign-in"
      overline={en.app.name}
      title={t.title}
      subtitle={again ? t.againHint : hasForgottenShop() ? t.signedOff : t.lead}
      statusLine={
        again && <StatusLine label={en.app.name} place={en.app.places.today} back={{ at: 'today' }} />
      }
      toast={currentToast.value}
      dock={<PrimaryButton label={busy ? t.busy : t.go} form="sign-in" busy={busy} />}
    >
      <Form id="sign-in" errors={errors} onSubmit={() => void go()}>
        <SignInFields typed={typed} errors={errors} onType={setTyped} />
      </Form>
    </Page>
  )
}

interface Typed {
  email: string
  password: string
}

function SignInFields({
  typed,
  errors,
  onType,
}: {
  typed: Typed
  errors: Partial<Typed>
  onType: (typed: Typed) => void
}) {
  const [shown, setShown] = useState(false)
  return (
    <>
      <TextField
        type="email"
        label={t.email}
        value={typed.email}
        error={errors.email}
        autocomplete="username"
        autocapitalize="off"
        enterKey="next"
        onValueChange={(email) => onType({ ...typed, email })}
      />
      <TextField
        type={shown ? 'text' : 'password'}
        label={t.password}
        value={typed.password}
        error={errors.password}
        autocomplete="current-password"
        autocapitalize="off"
        enterKey="go"
        onValueChange={(password) => onType({ ...typed, password })}
      />
      <ButtonRow stacked>
        <Button wide label={shown ? t.hide : t.show} onPress={() => setShown(!shown)} />
        <Button wide label={t.forgotten} to={{ at: 'forgotten' }} />
        {session.value.first_shop_needed && <Button wide label={t.firstShop} to={{ at: 'first-shop' }} />}
      </ButtonRow>
    </>
  )
}

/** Signs in. Returns null, or the error text. */
async function refusal(email: string, password: string): Promise<string | null> {
  const answer = await signIn(email, password).catch(() => ({
    done: false as const,
    because: 'refused' as const,
    words: en.app.notSaved,
  }))
  if (answer.done) return null
  const reasons = {
    wrong_credentials: t.wrong,
    too_many_tries: t.tooMany,
    no_signal: t.noSignal,
    refused: answer.words || t.refused,
  }
  return reasons[answer.because]
}
