import { type Block, hoursOf } from '../../../domain/dispatch/board/lanes'
import { moment } from '../../../domain/time'
import { board as t } from '../../../domain/words/board'
import { en } from '../../../domain/words/index'
import { rig, stop } from '../../../store/dispatch'
import { stopName } from '../../features/dispatch/checkText'
import { navigate } from '../../router'
import { format } from '../../shopFormat'
import { useNow } from '../../useNow'
import { blockLabel, blockText, driverOf, laneName, timeText } from './boardText'
import { ShapeMark } from './ShapeMark'
import type { Board, LaneShown } from './useBoard'
import { useDrag } from './useDrag'

const HOUR_S = 3600
/** With more rigs than this the lanes are lower, so that six fit one screen. */
const ROOMY = 3

/** Rigs by hours. */
export function BoardLanes({ board }: { board: Board }) {
  const [from, to] = hoursOf(
    board.shown,
    board.lanes.map(({ view }) => view),
  )
  const percent = (second: number) => `${(100 * (second - from)) / (to - from)}%`
  const now = useNow() / 1000
  const startDrag = useDrag(board, (lane, x) => {
    const { left, width } = lane.getBoundingClientRect()
    return from + ((x - left) / width) * (to - from)
  })
  const hours = Array.from({ length: (to - from) / HOUR_S + 1 }, (_, at) => from + at * HOUR_S)
  return (
    <div
      class={board.lanes.length > ROOMY ? 'board dense' : 'board'}
      style={{ '--hour': `${(100 * HOUR_S) / (to - from)}%` }}
    >
      <div class="hours" aria-hidden="true">
        {hours.map((each) => (
          <span key={each} style={{ left: percent(each) }}>
            {format.value.time(moment(each * 1000)).replace(/\D00(?=\s|$)/u, '')}
          </span>
        ))}
      </div>
      {board.lanes.map((shown) => (
        <section key={shown.lane.rig.key} class="lane-row" aria-label={laneName(shown.lane)}>
          <RigFacts board={board} of={shown} />
          <ol
            class={shown.lane.drives || shown.lane.slots.length > 0 ? 'lane' : 'lane idle'}
            data-rig={shown.lane.rig.key}
          >
            {shown.view.blocks.map((block, at) => (
              <BlockItem
                key={block.stop}
                board={board}
                of={shown}
                block={block}
                number={at + 1}
                percent={percent}
                onGrab={(event) => startDrag(event, block.stop, block.starts)}
              />
            ))}
            <HomeDrive of={shown} percent={percent} />
            {now > from && now < to && <li class="now" aria-hidden="true" style={{ left: percent(now) }} />}
          </ol>
        </section>
      ))}
    </div>
  )
}

function RigFacts({ board, of: { lane, view, shape } }: { board: Board; of: LaneShown }) {
  const truck = rig(lane.rig.key.split(' ')[0] ?? '')
  const driver = driverOf(lane, truck?.driver_id ?? null)
  const state = lane.over && lane.run ? t.over : lane.locked ? t.locked : truck?.out_at ? t.out : ''
  return (
    <div class="rig">
      <b>
        <ShapeMark shape={shape} /> {laneName(lane)}
      </b>
      <small>{driver ?? t.noDriver(format.value.weekday(board.day))}</small>
      <small>
        {en.app.listed(
          [
            t.shift(timeText(lane.rig.shift.opens), timeText(lane.rig.shift.closes)),
            view.home === null || view.blocks.length === 0 ? '' : t.home(timeText(view.home)),
          ].filter(Boolean),
        )}
      </small>
      {state && (
        <small>
          <b>{state}</b>
        </small>
      )}
    </div>
  )
}

interface BlockItemProps {
  board: Board
  of: LaneShown
  block: Block
  number: number
  percent: (second: number) => string
  onGrab: (event: PointerEvent) => void
}

function BlockItem({ board, of: { lane, view, shape }, block, number, percent, onGrab }: BlockItemProps) {
  const { stop: key, starts, leaves, drive, off } = block
  const of = board.shown.stops.get(key)
  const row = stop(key)
  if (!of || !row) return null
  const moved = board.isMoved(key)
  const broken = view.check?.faults.some((fault) => fault.stop === key) ?? false
  const state = [
    key === board.chosen && 'chosen',
    key === board.dragged && 'dragged',
    (off !== 0 || broken) && block.pending && 'odd',
    block.unweighed && 'hurt',
    moved && 'moved',
    !block.pending && 'done',
  ]
  const span = (a: number, b: number) => ({ left: percent(a), width: `calc(${percent(b)} - ${percent(a)})` })
  const open = ({ detail }: MouseEvent) => {
    // A press of the pointer chooses; Enter, a screen reader or a second press opens.
    if (detail === 0 || detail > 1) navigate({ at: 'stop', id: key })
  }
  return (
    <li>
      {drive !== null && (
        <span class="drive" aria-hidden="true" style={span(starts - drive, starts)}>
          <i>{Math.round(drive / 60)}</i>
        </span>
      )}
      {of.promised && (
        <span class="promise" aria-hidden="true" style={span(of.promised.opens, of.promised.closes)} />
      )}
      <button
        type="button"
        class={['block', ...state].filter(Boolean).join(' ')}
        data-stop={key}
        aria-label={blockLabel(row, number, block, of, moved)}
        aria-describedby={lane.locked ? 'board-told' : undefined}
        style={span(starts, leaves)}
        onClick={open}
        onPointerDown={onGrab}
      >
        <b>{stopName(key)}</b> {blockText(row, block)}
      </button>
      <span class="number" aria-hidden="true" style={{ left: percent(starts) }}>
        <ShapeMark shape={shape} text={`${number}`} />
      </span>
    </li>
  )
}

function HomeDrive({ of: { view }, percent }: { of: LaneShown; percent: (second: number) => string }) {
  const last = view.blocks.at(-1)
  if (!last || view.home === null || view.homeDrive === null) return null
  const from = view.home - view.homeDrive
  const style = { left: percent(from), width: `calc(${percent(view.home)} - ${percent(from)})` }
  return (
    <li class="drive" aria-hidden="true" style={style}>
      <i>{Math.round(view.homeDrive / 60)}</i>
    </li>
  )
}
