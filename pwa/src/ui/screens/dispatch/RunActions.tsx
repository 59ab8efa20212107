import type { Run as RunRow } from '../../../domain/contract'
import { trouble } from '../../../domain/words/breakdown'
import { en } from '../../../domain/words/index'
import { rig } from '../../../store/dispatch'
import { cancelRun, lockRun } from '../../../store/dispatchCommands'
import { reportBreakdown } from '../../../store/runExceptions'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { navigate } from '../../router'
import { saveWithToast, showToast } from '../../toast'

const t = en.dispatch.run

/** Actions on a whole run: lock, cancel, breakdown. */
export function RunActions({ row }: { row: RunRow }) {
  const plans = permissions.value.has('plan_runs')
  const notStarted = row.state === 'planned' || row.state === 'locked'

  async function turn() {
    let undo = async () => {}
    const saved = await saveWithToast(async () => {
      undo = await lockRun(row)
    })
    if (saved) showToast(row.state === 'locked' ? t.unlocked : t.locked, undo)
  }
  async function brokenDown() {
    let goOn = async () => row.id
    const saved = await saveWithToast(async () => {
      goOn = await reportBreakdown(row)
    })
    if (!saved) return
    const undo = async () => navigate({ at: 'run', id: await goOn() }, { replace: true })
    showToast(trouble.saved, undo)
    navigate({ at: 'run-breakdown', id: row.id })
  }
  return (
    <ButtonRow stacked>
      {plans && notStarted && (
        <Button
          wide
          label={row.state === 'locked' ? t.unlock : t.lock}
          hint={t.lockHint}
          shortcut="run.lock"
          onPress={() => void turn()}
        />
      )}
      {(notStarted || row.state === 'driving') && permissions.value.has('drive_runs') && (
        <Button wide label={trouble.key} hint={trouble.keyHint} onPress={() => void brokenDown()} />
      )}
      {rig(row.rig_id)?.out_at && permissions.value.has('drive_runs') && (
        <Button wide label={trouble.more} to={{ at: 'run-breakdown', id: row.id }} />
      )}
      {plans && notStarted && (
        <Button
          wide
          label={t.cancel}
          hint={t.cancelHint}
          onPress={() => void saveWithToast(() => cancelRun(row.id), t.cancelled)}
        />
      )}
    </ButtonRow>
  )
}
