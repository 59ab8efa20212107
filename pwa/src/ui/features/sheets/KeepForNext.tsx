import type { Kept, KeptFrom } from '../../../domain/machines/sheetToKeep'
import { sheets as t } from '../../../domain/words/sheets'
import { keepForNext, sheetWith } from '../../../store/sheets'
import { Button } from '../../components/Button'
import { showToast } from '../../toast'
import { useSaveOnce } from '../../useSaveOnce'

interface Props {
  kept: Kept
  from: KeptFrom
  /** What is kept, where the button stands alone. */
  label?: string | undefined
  hint?: string | undefined
}

/**
 * Keeps a limit, a fastener, an operation or a lesson for the next machine of its kind in one press:
 * `<KeepForNext kept={{ entry: { kind: 'lesson', words } }} from={{ machine, job_mark: shownName(job) }} />`. Once a
 * sheet has it, the button leads there.
 */
export function KeepForNext({ kept, from, label = t.keep, hint }: Props) {
  const { busy, save } = useSaveOnce()
  const known = sheetWith(kept, from)
  if (known) return <Button wide label={t.kept(known.title)} hint={hint} to={{ at: 'sheet', id: known.id }} />
  let undo: (() => Promise<unknown>) | undefined
  let title = ''
  const keep = async () => {
    const done = await keepForNext(kept, from)
    undo = done.undo
    title = done.title
  }
  return (
    <Button
      wide
      label={label}
      hint={hint}
      onPress={() => void (busy || save(keep, () => showToast(t.kept(title), undo)))}
    />
  )
}
