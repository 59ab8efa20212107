import { useState } from 'preact/hooks'
import { programs as t } from '../../../domain/words/programs'
import type { ImportAnswer } from '../../../store/customerImports'
import { Button, ButtonRow } from '../../components/Button'
import { showToast } from '../../toast'

interface Props {
  label: string
  hint?: string | undefined
  make: () => Promise<ImportAnswer<string>>
  onMade: () => Promise<void>
}

/** A secret that the server makes on demand: shown until the screen is left, never stored. */
export function ShownOnce({ label, hint, make, onMade }: Props) {
  const [secret, setSecret] = useState('')
  const [busy, setBusy] = useState(false)

  async function show() {
    if (busy) return
    setBusy(true)
    const answer = await make()
    setBusy(false)
    if (!('value' in answer)) return showToast(answer.words || t.noSignal)
    setSecret(answer.value)
    await onMade()
  }
  return (
    <>
      {secret && (
        <div role="status">
          <p class="multiline">{t.secretOnce}</p>
          <p class="serial multiline">{secret}</p>
          <ButtonRow stacked>
            <Button wide label={t.copy} onPress={() => void copy(secret)} />
          </ButtonRow>
        </div>
      )}
      <ButtonRow stacked>
        <Button wide label={label} hint={hint} onPress={() => void show()} />
      </ButtonRow>
    </>
  )
}

async function copy(secret: string): Promise<void> {
  try {
    await navigator.clipboard.writeText(secret)
    showToast(t.copied)
  } catch {
    showToast(secret)
  }
}
