import type { Run as RunRow, Stop } from '../../../domain/rows'
import { isAhead } from '../../../domain/runs'
import { en } from '../../../domain/words'
import { trouble } from '../../../domain/words.trouble'
import {
  cancelRun,
  endRun,
  lockRun,
  moveStop,
  nextStop,
  printRun,
  rig,
  run,
  sheetOf,
  startRun,
  stopsOfRun,
} from '../../../store/dispatch'
import { permissions } from '../../../store/session'
import { members } from '../../../store/shop'
import { reportBreakdown } from '../../../store/trouble'
import { Caution, Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row } from '../../components/Rows'
import { goTo } from '../../router'
import { figures } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Sheet } from '../Sheet'
import { aboutStop, driveWords, placeWords, rigName, runFigures, stopLine, toldWords } from './about'
import { Decks, Margins } from './Figures'
import { HandChecked } from './HandChecked'
import { PrintKeys } from './PrintKeys'
import { RestOfDay } from './RestOfDay'
import { RunMap } from './RunMap'

const its = en.dispatch.run

/** One run: its stops in order, what to mind, its map and its deck. Everything here works with no signal. */
export function Run({ id }: { id: string }) {
  const row = run(id)
  if (!row) return <Nowhere />
  const stops = stopsOfRun(id)
  const { time } = figures.value
  const driver = members.value.find((member) => member.id === row.driver_id)?.name ?? its.noDriver
  return (
    <Sheet
      over={en.app.joined([figures.value.weekday(row.day), en.dispatch.runStates[row.state], driver])}
      title={its.title(rigName(row.rig_id))}
      under={
        <>
          {row.leaves_at && row.home_at && <p>{its.times(time(row.leaves_at), time(row.home_at))}</p>}
          {row.metres !== null && row.drive_seconds !== null && <p>{runFigures(row)}</p>}
        </>
      }
      back={{ at: 'today' }}
      dock={<Main row={row} stops={stops} />}
    >
      {row.state === 'locked' && <p class="lines">{its.isLocked}</p>}
      <HandChecked run={row} />
      <RestOfDay run={row} />
      <Part title={its.stops}>
        {stops.length === 0 && (
          <div class="blank">
            <b>{its.noStops}</b>
            <p>{its.noStopsHint}</p>
          </div>
        )}
        <ol class="run">
          {stops.map((stop, at) => (
            <li key={stop.id}>
              <OnRun run={row} stop={stop} number={at + 1} stops={stops} />
            </li>
          ))}
        </ol>
      </Part>
      <RunMap stops={stops} />
      <Margins run={row} />
      <Decks run={row} stops={stops} />
      {stops.length > 0 && (
        <PrintKeys
          words={en.dispatch.paper.sheet}
          openWords={en.dispatch.paper.openSheet}
          printout={sheetOf(id)}
          onAsk={() => printRun(id)}
        />
      )}
      <Turns row={row} />
    </Sheet>
  )
}

/** The one thing to do: leave, go on, come home. */
function Main({ row, stops }: { row: RunRow; stops: readonly Stop[] }) {
  if (!permissions.value.has('drive_runs') || row.state === 'done' || row.state === 'cancelled') return null
  const next = nextStop(row.id)
  if (row.state === 'planned' || row.state === 'locked') {
    if (stops.length === 0) return null
    return <Slab words={its.start} hint={its.startHint} onPress={() => void saving(() => startRun(row.id))} />
  }
  if (next) return <Slab words={its.goOn} hint={aboutStop(next).name} to={{ at: 'stop', id: next.id }} />
  return (
    <Slab words={its.end} hint={its.endHint} onPress={() => void saving(() => endRun(row.id), its.ended)} />
  )
}

interface OnRunProps {
  run: RunRow
  stop: Stop
  number: number
  stops: readonly Stop[]
}

/** One stop with its keys to move it. */
function OnRun({ run: row, stop, number, stops }: OnRunProps) {
  const about = aboutStop(stop)
  const cautions = row.cautions.filter(({ stop_id }) => stop_id === stop.id)
  const trip = stops.filter((each) => each.trip === stop.trip && isAhead(each.state))
  const at = trip.indexOf(stop)
  const first = stops.find((each) => each.trip === stop.trip) === stop
  const movable = isAhead(stop.state) && (row.state === 'planned' || row.state === 'driving')

  async function move(by: -1 | 1) {
    const other = trip[at + by]
    if (!other) return
    let undo = async () => {}
    const saved = await saving(async () => {
      undo = await moveStop(stop, { run_id: row.id, trip: stop.trip, position: other.position })
    })
    if (saved) tell(its.undoMove, undo)
  }
  return (
    <>
      {first && stops.at(-1)?.trip !== 0 && <p class="trip">{its.trip(stop.trip + 1)}</p>}
      <Row
        to={{ at: 'stop', id: stop.id }}
        lead={
          <>
            <b class="number">{number}</b> {about.name}
          </>
        }
        figure={stop.state === 'planned' ? undefined : en.dispatch.states[stop.state]}
        also={
          <>
            <b>{stopLine(stop)}</b>
            {` · ${en.app.joined([
              isAhead(stop.state) ? toldWords(stop) : undefined,
              isAhead(stop.state) ? driveWords(stop) : undefined,
              machineName(about.machine),
              placeWords(stop).split('\n')[0],
            ])}`}
          </>
        }
      />
      {cautions.map((caution) => (
        <Caution key={caution.code} words={caution.words} />
      ))}
      {movable && (
        <Keys>
          {at > 0 && <Key words={its.upWords} label={its.up(about.name)} onPress={() => void move(-1)} />}
          {at < trip.length - 1 && (
            <Key words={its.downWords} label={its.down(about.name)} onPress={() => void move(1)} />
          )}
          <Key words={its.more} label={its.change(about.name)} to={{ at: 'stop-move', id: stop.id }} />
        </Keys>
      )}
    </>
  )
}

/** Lock, call off, broken down: what turns a whole run. */
function Turns({ row }: { row: RunRow }) {
  const plans = permissions.value.has('plan_runs')
  const standing = row.state === 'planned' || row.state === 'locked'

  async function turn() {
    let undo = async () => {}
    const saved = await saving(async () => {
      undo = await lockRun(row)
    })
    if (saved) tell(row.state === 'locked' ? its.unlocked : its.locked, undo)
  }
  async function brokenDown() {
    let goOn = async () => row.id
    const saved = await saving(async () => {
      goOn = await reportBreakdown(row)
    })
    if (!saved) return
    const undo = async () => goTo({ at: 'run', id: await goOn() }, { instead: true })
    tell(trouble.saved, undo)
    goTo({ at: 'run-trouble', id: row.id })
  }
  return (
    <Keys tall>
      {plans && standing && (
        <Key
          wide
          words={row.state === 'locked' ? its.unlock : its.lock}
          hint={its.lockHint}
          onPress={() => void turn()}
        />
      )}
      {(standing || row.state === 'driving') && permissions.value.has('drive_runs') && (
        <Key wide words={trouble.key} hint={trouble.keyHint} onPress={() => void brokenDown()} />
      )}
      {rig(row.rig_id)?.out_at && permissions.value.has('drive_runs') && (
        <Key wide words={trouble.more} to={{ at: 'run-trouble', id: row.id }} />
      )}
      {plans && standing && (
        <Key
          wide
          words={its.cancel}
          hint={its.cancelHint}
          onPress={() => void saving(() => cancelRun(row.id), its.cancelled)}
        />
      )}
    </Keys>
  )
}
