import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { hasForgottenShop, session, signIn } from '../../../store/session/session'
import { PrimaryButton } from '../../components/Button'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { StatusLine } from '../../components/StatusLine'
import { lazy } from '../../lazy'
import { currentRoute, navigate } from '../../router'
import { currentToast } from '../../toast'
import { SignInFields, type TypedSignIn } from './SignInFields'

const t = en.signIn
/** In place of an error: the password was right, and a second factor is asked for. */
const SECOND = ''
const SecondStep = lazy(async () => (await import('./SecondStep')).SecondStep)

/** Sign-in, on a new phone and when the session has expired. */
export function SignIn() {
  const [typed, setTyped] = useState({ email: '', password: '' })
  const [second, setSecond] = useState(false)
  if (!second) return <FirstStep typed={typed} onType={setTyped} onSecond={() => setSecond(true)} />
  const { email, password } = typed
  return (
    <SecondStep email={email.trim()} password={password} onDone={enter} onBack={() => setSecond(false)} />
  )
}

function enter(): void {
  // What another app shared while nobody was signed in is asked about at once.
  if (currentRoute.peek().at !== 'share') navigate({ at: 'today' }, { replace: true })
}

interface FirstStepProps {
  typed: TypedSignIn
  onType: (typed: TypedSignIn) => void
  /** The password was right, and a second factor is asked for. */
  onSecond: () => void
}

function FirstStep({ typed, onType, onSecond }: FirstStepProps) {
  const again = session.value.state === 'expired'
  const [busy, setBusy] = useState(false)
  const [errors, setErrors] = useState<Partial<TypedSignIn>>({})

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
    if (refused === null) enter()
    else if (refused === SECOND) onSecond()
    else setErrors({ password: refused })
  }
  async function goWithPasskey() {
    if (busy) return
    setBusy(true)
    const { passkeySignIn } = await import('./passkeySignIn')
    const words = await passkeySignIn().finally(() => setBusy(false))
    if (words === null) enter()
    else setErrors({ email: words })
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
        <SignInFields typed={typed} errors={errors} onType={onType} onPasskey={() => void goWithPasskey()} />
      </Form>
    </Page>
  )
}

/** Signs in. Returns null, or the error text; `SECOND` where a second factor is asked for. */
async function refusal(email: string, password: string): Promise<string | null> {
  const answer = await signIn(email, password).catch(() => ({
    done: false as const,
    because: 'refused' as const,
    words: en.app.notSaved,
  }))
  if (answer.done) return null
  const reasons = {
    wrong_credentials: t.wrong,
    second_factor_needed: SECOND,
    too_many_tries: t.tooMany,
    no_signal: t.noSignal,
    refused: answer.words || t.refused,
  }
  return reasons[answer.because]
}
