import { useState } from 'preact/hooks'
import { security as t } from '../../../domain/words/factors'
import type { ImportAnswer } from '../../../store/customerImports'
import type { ActionResult } from '../../../store/members'
import { showToast } from '../../toast'

/** Runs one change at a time, says what came of it, and reads the screen again. */
export function useChange(onChanged: () => Promise<void>) {
  const [busy, setBusy] = useState(false)
  const [codes, setCodes] = useState<readonly string[]>([])

  async function change(work: () => Promise<ActionResult | ImportAnswer<readonly string[]>>, words: string) {
    if (busy) return
    setBusy(true)
    const answer = await work().catch(() => ({ words: t.declined }))
    setBusy(false)
    if ('value' in answer) setCodes(answer.value)
    else if (!('done' in answer && answer.done)) return showToast(answer.words || t.noSignal)
    showToast(words)
    await onChanged()
  }
  return { busy, codes, change, forget: () => setCodes([]) }
}
