import { useEffect, useState } from 'preact/hooks'
import { security, appSetUp as t } from '../../../domain/words/factors'
import { type AuthenticatorSetUp, beginAuthenticator, confirmAuthenticator } from '../../../store/factors'
import { TextField } from '../../components/Field'
import { QrCode } from '../../components/QrCode'
import { FormPage } from '../../FormPage'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { showToast } from '../../toast'
import { useForm } from '../../useForm'
import { CodesOnce } from './CodesOnce'

const back = () => navigate({ at: 'security' }, { replace: true })

/** Sets up an authenticator app: its key as a code to scan, then a first code of it. */
export function AppSetUp() {
  const [begun, setBegun] = useState<AuthenticatorSetUp | null>(null)
  const [codes, setCodes] = useState<readonly string[]>([])
  useEffect(() => {
    void beginAuthenticator().then((answer) => {
      if ('value' in answer) return setBegun(answer.value)
      showToast(answer.words || security.noSignal)
      back()
    })
  }, [])
  const form = useForm({
    name: 'authenticator',
    blank: { code: '' },
    draft: false,
    check: ({ code }) => ({ code: code.replaceAll(' ', '').length !== 6 && t.missing }),
    save: async ({ code }) => {
      const answer = await confirmAuthenticator(code)
      if (!('value' in answer)) {
        const words = answer.words || security.noSignal
        return { done: false, words, fields: [{ field: 'code', words }] }
      }
      showToast(t.saved)
      setCodes(answer.value)
      return answer.value.length ? null : { done: true }
    },
    saved: t.saved,
  })
  if (codes.length)
    return (
      <ShopPage title={security.codes}>
        <CodesOnce codes={codes} onKept={back} />
      </ShopPage>
    )
  return (
    <FormPage form={form} overline={security.title} title={t.title} saveLabel={t.save}>
      <p class="multiline">{t.scan}</p>
      {begun && <QrCode text={begun.uri} label={t.code} />}
      {begun && (
        <p class="multiline">
          {t.key}: <span class="serial">{begun.secret.replaceAll(/(.{4})/gu, '$1 ').trim()}</span>
        </p>
      )}
      <TextField
        label={t.first}
        autocomplete="one-time-code"
        autocapitalize="off"
        enterKey="done"
        {...form.field('code')}
      />
    </FormPage>
  )
}
