import type { Stop } from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { en } from '../../../domain/words'
import { isJobStop } from '../../../store/dispatch'
import { arriveAtStop, leaveStop } from '../../../store/dispatchCommands'
import { failStop } from '../../../store/runExceptions'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { navigate } from '../../router'
import { saveWithToast, showToast } from '../../toast'

const t = en.dispatch.stop

interface Props {
  row: Stop
  handed: boolean
  /** What is said once the driver has left. */
  saidLeft?: string
}

/** The dock of a stop: its main action, and other outcomes. */
export function StopDock({ row, handed, saidLeft = t.saidLeft }: Props) {
  if (!permissions.value.has('drive_runs')) return null
  const fail = (
    <>
      {isJobStop(row) && <Button label={t.nobody} shortcut="stop.nobody" onPress={() => void nobody()} />}
      <Button label={t.failed} to={{ at: 'stop-fail', id: row.id }} shortcut="stop.fail" />
    </>
  )
  async function nobody() {
    const saved = await stamp(() => failStop(row.id, 'nobody_home'), t.nobodyHint)
    if (saved && row.run_id) navigate({ at: 'run', id: row.run_id }, { replace: true })
  }
  async function stamp(how: typeof arriveAtStop, words: string): Promise<boolean> {
    let undo = async () => {}
    const saved = await saveWithToast(async () => {
      undo = await how(row)
    })
    if (saved) showToast(words, undo)
    return saved
  }
  async function gone() {
    const saved = await stamp(leaveStop, saidLeft)
    if (saved && row.run_id) navigate({ at: 'run', id: row.run_id }, { replace: true })
  }
  if (isPendingStop(row.state))
    return (
      <>
        <ButtonRow>{fail}</ButtonRow>
        <PrimaryButton
          label={t.arrived}
          hint={t.arrivedHint}
          shortcut="stop.arrived"
          onPress={() => void stamp(arriveAtStop, t.saidArrived)}
        />
      </>
    )
  if (row.state !== 'arrived') return null
  if (isJobStop(row) && row.kind !== 'visit' && !handed)
    return (
      <>
        <ButtonRow>
          <Button label={t.left} shortcut="stop.left" onPress={() => void gone()} />
          {fail}
        </ButtonRow>
        <PrimaryButton
          label={t.handOver}
          hint={en.dispatch.kinds[row.kind]}
          to={{ at: 'stop-hand', id: row.id }}
          shortcut="stop.hand"
        />
      </>
    )
  return (
    <>
      <ButtonRow>{fail}</ButtonRow>
      <PrimaryButton label={t.left} hint={t.leftHint} shortcut="stop.left" onPress={() => void gone()} />
    </>
  )
}
