import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { startShop } from '../../../store/session'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { Slab } from '../../components/Press'
import { goTo } from '../../router'
import { telling } from '../../telling'

const its = en.firstShop
const LEAST_PASSWORD = 12

type Typed = Parameters<typeof startShop>[0]

/** Opens the first shop of a server that holds none. */
export function FirstShop() {
  const [typed, setTyped] = useState<Typed>({
    shop_name: '',
    zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
    currency: 'USD',
    name: '',
    email: '',
    password: '',
  })
  const [busy, setBusy] = useState(false)
  const [wrong, setWrong] = useState<Record<string, string>>({})
  const field = (name: keyof typeof typed) => ({
    value: typed[name],
    wrong: wrong[name],
    onValue: (value: string) => setTyped((before) => ({ ...before, [name]: value })),
  })

  async function go() {
    const found = faultsOf(typed)
    setWrong(found)
    if (Object.keys(found).length || busy) return
    setBusy(true)
    const answer = await startShop({ ...typed, currency: typed.currency.trim().toUpperCase() }).catch(() => ({
      done: false as const,
      because: 'refused' as const,
      words: en.app.notSaved,
    }))
    setBusy(false)
    if (answer.done) return goTo({ at: 'today' }, { instead: true })
    setWrong({
      password: answer.because === 'no_signal' ? en.signIn.noSignal : answer.words || en.signIn.refused,
    })
  }
  return (
    <Page
      over={en.app.name}
      title={its.title}
      under={its.lead}
      back={{ at: 'sign-in' }}
      queue={null}
      told={telling.value}
      dock={<Slab words={its.go} form="first-shop" busy={busy} />}
    >
      <Form id="first-shop" wrong={wrong} onSend={() => void go()}>
        <Field label={its.name} capital="words" {...field('shop_name')} />
        <Field label={its.zone} capital="off" {...field('zone')} />
        <Field label={its.currency} hint={its.currencyHint} capital="characters" {...field('currency')} />
        <Field label={its.person} autocomplete="name" capital="words" {...field('name')} />
        <Field label={its.email} type="email" autocomplete="username" capital="off" {...field('email')} />
        <Field
          label={its.password}
          hint={its.passwordHint}
          type="password"
          autocomplete="new-password"
          {...field('password')}
        />
      </Form>
    </Page>
  )
}

function faultsOf(typed: Typed): Record<string, string> {
  const labels = {
    shop_name: its.name,
    zone: its.zone,
    currency: its.currency,
    name: its.person,
    email: its.email,
  }
  const empty = Object.entries(labels).filter(([name]) => !typed[name as keyof Typed].trim())
  const faults = Object.fromEntries(empty.map(([name, label]) => [name, its.missing(label)]))
  const short = typed.password.length < LEAST_PASSWORD
  return { ...faults, ...(short && { password: its.passwordHint }) }
}
