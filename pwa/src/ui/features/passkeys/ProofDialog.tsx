import { useLayoutEffect, useRef, useState } from 'preact/hooks'
import { proofDialog as t } from '../../../domain/words/factors'
import { proveByPasskey, proveByPassword } from '../../../store/factors'
import type { ActionResult } from '../../../store/members'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { hasPasskeys, signWithPasskey } from './browserPasskeys'

/** Asks for the password or a passkey again, over whatever is shown; the request that needs it waits for the answer. */
export function ProofDialog({ onAnswer }: { onAnswer: (given: boolean) => void }) {
  const dialog = useRef<HTMLDialogElement>(null)
  const [password, setPassword] = useState('')
  const [busy, setBusy] = useState(false)
  const [errors, setErrors] = useState<{ password?: string }>({})
  useLayoutEffect(() => {
    const before = document.activeElement
    const modal = dialog.current
    modal?.showModal()
    return () => {
      modal?.close()
      if (before instanceof HTMLElement && before.isConnected) before.focus({ preventScroll: true })
    }
  }, [])

  async function go(asked: () => Promise<ActionResult>, trouble: string) {
    if (busy) return
    setBusy(true)
    const answer = await asked().catch(() => ({ done: false as const, words: trouble }))
    setBusy(false)
    if (answer.done) onAnswer(true)
    else setErrors({ password: answer.words || t.noSignal })
  }
  function submit() {
    if (!password) return setErrors({ password: t.missing })
    void go(() => proveByPassword(password), t.noSignal)
  }
  return (
    <dialog ref={dialog} class="proof" aria-labelledby="proof-title" onCancel={() => onAnswer(false)}>
      <h2 id="proof-title">{t.title}</h2>
      <p class="multiline">{t.lead}</p>
      <Form id="proof" errors={errors} onSubmit={submit}>
        <TextField
          type="password"
          label={t.password}
          value={password}
          error={errors.password}
          autocomplete="current-password"
          autocapitalize="off"
          enterKey="go"
          onValueChange={setPassword}
        />
        <PrimaryButton label={t.go} form="proof" busy={busy} />
        <ButtonRow stacked>
          {hasPasskeys() && (
            <Button
              wide
              label={t.passkey}
              onPress={() => void go(() => proveByPasskey(signWithPasskey), t.declined)}
            />
          )}
          <Button wide label={t.cancel} onPress={() => onAnswer(false)} />
        </ButtonRow>
      </Form>
    </dialog>
  )
}
