import { hoursOf } from '../../../domain/dispatch/board/lanes'
import { moment } from '../../../domain/time'
import { board as t } from '../../../domain/words/board'
import { en } from '../../../domain/words/index'
import { rig } from '../../../store/dispatch'
import { format } from '../../shopFormat'
import { useNow } from '../../useNow'
import { BlockItem, HomeDrive } from './BoardBlock'
import { driverOf, laneName, timeText } from './boardText'
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
