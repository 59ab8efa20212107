import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { session, signIn } from '../../../store/session'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { Key, Keys, Slab } from '../../components/Press'
import { goTo } from '../../router'
import { telling } from '../../telling'

const its = en.signIn

/** The first thing on a new phone, and what the server asks for again after a long while. */
export function SignIn() {
  const again = session.value.state === 'expired'
  const [email, setEmail] = useState('')
  const [password, setPassword] = useState('')
  const [shown, setShown] = useState(false)
  const [busy, setBusy] = useState(false)
  const [wrong, setWrong] = useState<{ email?: string; password?: string }>({})

  async function go() {
    const found = {
      ...(!email.trim() && { email: its.missingEmail }),
      ...(!password && { password: its.missingPassword }),
    }
    setWrong(found)
    if (Object.keys(found).length || busy) return
    setBusy(true)
    const answer = await signIn(email.trim(), password).catch(() => ({
      done: false as const,
      because: 'refused' as const,
      words: en.app.notSaved,
    }))
    setBusy(false)
    if (answer.done) return goTo({ at: 'today' }, { instead: true })
    const reasons = {
      wrong_credentials: its.wrong,
      too_many_tries: its.tooMany,
      no_signal: its.noSignal,
      refused: answer.words || its.refused,
    }
    setWrong({ password: reasons[answer.because] })
  }
  return (
    <Page
      kind="sign-in"
      over={en.app.name}
      title={its.title}
      under={again ? its.againHint : its.lead}
      {...(again && { back: { at: 'today' } as const })}
      queue={null}
      told={telling.value}
      dock={<Slab words={busy ? its.busy : its.go} form="sign-in" busy={busy} />}
    >
      <Form id="sign-in" wrong={wrong} onSend={() => void go()}>
        <Field
          type="email"
          label={its.email}
          value={email}
          wrong={wrong.email}
          autocomplete="username"
          capital="off"
          enter="next"
          onValue={setEmail}
        />
        <Field
          type={shown ? 'text' : 'password'}
          label={its.password}
          value={password}
          wrong={wrong.password}
          autocomplete="current-password"
          capital="off"
          enter="go"
          onValue={setPassword}
        />
        <Keys tall>
          <Key wide words={shown ? its.hide : its.show} onPress={() => setShown(!shown)} />
          {session.value.first_shop_needed && <Key wide words={its.firstShop} to={{ at: 'first-shop' }} />}
        </Keys>
      </Form>
    </Page>
  )
}
