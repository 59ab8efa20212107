import type { ComponentProps } from 'preact'
import { useState } from 'preact/hooks'
import { SHORTEST_PASSWORD } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { startShop } from '../../../store/session/session'
import { PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { StatusLine } from '../../components/StatusLine'
import { navigate } from '../../router'
import { currentToast } from '../../toast'

const t = en.firstShop

type FirstShopFormFields = Parameters<typeof startShop>[0]

/** Creates the first shop of a new server. */
export function FirstShop() {
  const [typed, setTyped] = useState<FirstShopFormFields>({
    shop_name: '',
    zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
    currency: 'USD',
    name: '',
    email: '',
    password: '',
  })
  const [busy, setBusy] = useState(false)
  const [errors, setErrors] = useState<Record<string, string>>({})
  const field = (name: keyof typeof typed) => ({
    value: typed[name],
    error: errors[name],
    onValueChange: (value: string) => setTyped((before) => ({ ...before, [name]: value })),
  })

  async function go() {
    const found = validateFirstShop(typed)
    setErrors(found)
    if (Object.keys(found).length || busy) return
    setBusy(true)
    const answer = await startShop({ ...typed, currency: typed.currency.trim().toUpperCase() }).catch(() => ({
      done: false as const,
      because: 'refused' as const,
      words: en.app.notSaved,
      fields: [],
    }))
    setBusy(false)
    if (answer.done) return navigate({ at: 'today' }, { replace: true })
    const named = answer.fields.map(({ field, words }) => [field, words])
    const words = answer.because === 'no_signal' ? en.signIn.noSignal : answer.words || en.signIn.refused
    setErrors(named.length ? Object.fromEntries(named) : { password: words })
  }
  return (
    <Page
      overline={en.app.name}
      title={t.title}
      subtitle={t.lead}
      statusLine={<StatusLine label={en.app.name} place={en.app.back} back={{ at: 'sign-in' }} />}
      toast={currentToast.value}
      dock={<PrimaryButton label={t.go} form="first-shop" busy={busy} />}
    >
      <Form id="first-shop" errors={errors} onSubmit={() => void go()}>
        <FirstShopFields field={field} />
      </Form>
    </Page>
  )
}

interface FieldsProps {
  field: (
    name: keyof FirstShopFormFields,
  ) => Pick<ComponentProps<typeof TextField>, 'value' | 'error' | 'onValueChange'>
}

function FirstShopFields({ field }: FieldsProps) {
  return (
    <>
      <TextField label={t.name} autocapitalize="words" {...field('shop_name')} />
      <TextField label={t.zone} autocapitalize="off" {...field('zone')} />
      <TextField
        label={t.currency}
        hint={t.currencyHint}
        autocapitalize="characters"
        {...field('currency')}
      />
      <TextField label={t.person} autocomplete="name" autocapitalize="words" {...field('name')} />
      <TextField
        label={t.email}
        type="email"
        autocomplete="username"
        autocapitalize="off"
        {...field('email')}
      />
      <TextField
        label={t.password}
        hint={t.passwordHint}
        type="password"
        autocomplete="new-password"
        {...field('password')}
      />
    </>
  )
}

function validateFirstShop(typed: FirstShopFormFields): Record<string, string> {
  const labels = {
    shop_name: t.name,
    zone: t.zone,
    currency: t.currency,
    name: t.person,
    email: t.email,
  }
  const empty = Object.entries(labels).filter(([name]) => !typed[name as keyof FirstShopFormFields].trim())
  const faults = Object.fromEntries(empty.map(([name, label]) => [name, t.missing(label)]))
  const short = typed.password.length < SHORTEST_PASSWORD
  return { ...faults, ...(short && { password: t.passwordHint }) }
}
