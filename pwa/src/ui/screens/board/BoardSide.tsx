import { type Position, positionOf } from '../../../domain/geo/places'
import { board as t } from '../../../domain/words/board'
import { en } from '../../../domain/words/index'
import { run, stop, stopPosition, yard } from '../../../store/dispatch'
import { session } from '../../../store/session/session'
import { LocationMap } from '../../components/LocationMap'
import { dashesOf } from '../../components/mapLayers'
import { Section } from '../../components/Section'
import { restOfCheck } from '../../features/dispatch/checkText'
import { faultsOf, laneName } from './boardText'
import { ChosenStop } from './ChosenStop'
import { ShapeMark } from './ShapeMark'
import type { Board, LaneShown } from './useBoard'

/** Beside the board: the map, the chosen stop, and what the check says of each rig. */
export function BoardSide({ board }: { board: Board }) {
  return (
    <aside class="board-side" aria-label={t.mapTitle}>
      <BoardMap board={board} />
      <ChosenStop board={board} />
      <Checks board={board} />
    </aside>
  )
}

function BoardMap({ board }: { board: Board }) {
  const home = positionOf(yard.value)
  const placed = board.lanes.map(({ lane, shape }) => ({
    lane,
    shape,
    marks: lane.slots.flatMap(({ stop: key, trip }, at) => {
      const row = stop(key)
      const position = row ? stopPosition(row) : null
      return position
        ? [{ key, position, trip, shape, label: `${at + 1}`, current: key === board.chosen }]
        : []
    }),
  }))
  const markers = placed.flatMap(({ marks }) => marks)
  const lines = placed.map(({ marks }): Position[] =>
    marks.length === 0 || !home
      ? []
      : [
          home,
          ...marks.flatMap(({ position, trip }, at) =>
            at > 0 && marks[at - 1]?.trip !== trip ? [home, position] : [position],
          ),
          home,
        ],
  )
  if (markers.length === 0) return null
  return (
    <>
      <LocationMap
        label={t.map(markers.length)}
        yard={home}
        yardLabel={en.dispatch.run.yard}
        markers={markers}
        leftOut={en.dispatch.place.leftOut}
        lines={lines}
        dashes={dashesOf}
        tiles={session.value.tiles}
      />
      <p class="board-legend">
        {placed
          .filter(({ marks }) => marks.length > 0)
          .map(({ lane, shape }) => (
            <span key={lane.rig.key}>
              <ShapeMark shape={shape} /> {`${t.lines[shape % t.lines.length]}: ${laneName(lane)}`}
            </span>
          ))}
      </p>
    </>
  )
}

/** Per rig: what its order breaks, or what the server has said of its run. */
function Checks({ board }: { board: Board }) {
  const checks = board.lanes
    .map((each) => ({ name: laneName(each.lane), key: each.lane.rig.key, lines: linesOf(each) }))
    .filter(({ lines }) => lines.length > 0)
  if (checks.length === 0) return null
  return (
    <Section title={t.checks}>
      {checks.map(({ key, name, lines }) => (
        <div key={key} class="board-check">
          <b>{name}</b>
          <ul>
            {lines.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </div>
      ))}
      <p class="hint">{t.checkedAfter}</p>
    </Section>
  )
}

function linesOf({ lane, view }: LaneShown): string[] {
  const cautions = lane.current && lane.run !== null ? (run(lane.run)?.cautions ?? []) : []
  const rest = view.check ? restOfCheck({ ...view.check, home: null }).split('\n') : []
  const fine: string = en.dispatch.check.holds
  return [...new Set([...faultsOf(view), ...rest, ...cautions.map(({ words }) => words)])].filter(
    (line) => line && line !== fine,
  )
}
