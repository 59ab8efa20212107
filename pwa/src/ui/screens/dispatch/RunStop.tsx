import type { Run as RunRow, Stop } from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { en } from '../../../domain/words/index'
import { moveStop } from '../../../store/dispatchCommands'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { Caution } from '../../components/Section'
import {
  aboutStop,
  driveText,
  placeText,
  promisedText,
  stayText,
  stopLine,
} from '../../features/dispatch/stopText'
import { machineName } from '../../names'
import { saveWithToast, showToast } from '../../toast'

const t = en.dispatch.run

interface RunStopProps {
  run: RunRow
  stop: Stop
  number: number
  stops: readonly Stop[]
}

/** One stop with the buttons to move it. */
export function RunStop({ run: row, stop, number, stops }: RunStopProps) {
  const about = aboutStop(stop)
  const cautions = row.cautions.filter(({ stop_id }) => stop_id === stop.id)
  const trip = stops.filter((each) => each.trip === stop.trip && isPendingStop(each.state))
  const at = trip.indexOf(stop)
  const first = stops.find((each) => each.trip === stop.trip) === stop
  const movable = isPendingStop(stop.state) && (row.state === 'planned' || row.state === 'driving')

  async function move(by: -1 | 1) {
    const other = trip[at + by]
    if (!other) return
    let undo = async () => {}
    const saved = await saveWithToast(async () => {
      undo = await moveStop(stop, { run_id: row.id, trip: stop.trip, position: other.position })
    })
    if (saved) showToast(t.undoMove, undo)
  }
  return (
    <>
      {first && stops.at(-1)?.trip !== 0 && <p class="trip-heading">{t.trip(stop.trip + 1)}</p>}
      <ListItem
        to={{ at: 'stop', id: stop.id }}
        title={
          <>
            <b class="stop-number">{number}</b> {about.name}
          </>
        }
        value={stop.state === 'planned' ? undefined : en.dispatch.states[stop.state]}
        details={
          <>
            <b>{stopLine(stop)}</b>
            {` · ${en.app.joined([
              ...(isPendingStop(stop.state) ? [promisedText(stop), stayText(stop)] : []),
              isPendingStop(stop.state) ? driveText(stop) : undefined,
              machineName(about.machine),
              placeText(stop).split('\n')[0],
            ])}`}
          </>
        }
      />
      {cautions.map((caution) => (
        <Caution key={caution.code} text={caution.words} />
      ))}
      {movable && (
        <ButtonRow>
          {at > 0 && <Button label={t.upWords} ariaLabel={t.up(about.name)} onPress={() => void move(-1)} />}
          {at < trip.length - 1 && (
            <Button label={t.downWords} ariaLabel={t.down(about.name)} onPress={() => void move(1)} />
          )}
          <Button label={t.more} ariaLabel={t.change(about.name)} to={{ at: 'stop-move', id: stop.id }} />
        </ButtonRow>
      )}
    </>
  )
}
