import { laneOf } from '../../../domain/dispatch/board/plan'
import { type Position, positionOf } from '../../../domain/geo/places'
import { board as t } from '../../../domain/words/board'
import { en } from '../../../domain/words/index'
import { run, stop, stopPosition, yard } from '../../../store/dispatch'
import { session } from '../../../store/session/session'
import { Button } from '../../components/Button'
import { KeyCaps } from '../../components/KeyCaps'
import { LocationMap } from '../../components/LocationMap'
import { dashesOf } from '../../components/mapLayers'
import { Section } from '../../components/Section'
import { restOfCheck, stopName } from '../../features/dispatch/checkText'
import { aboutStop, placeText } from '../../features/dispatch/stopText'
import { machineName } from '../../names'
import { faultsOf, laneName, timeText } from './boardText'
import { ShapeMark } from './ShapeMark'
import type { Board, LaneShown } from './useBoard'
import { stopActs } from './useBoardKeys'

/** Beside the board: the map, the chosen stop, and what the check says of each rig. */
export function BoardSide({ board }: { board: Board }) {
  return (
    <aside class="board-side" aria-label={t.mapTitle}>
      <BoardMap board={board} />
      <Chosen board={board} />
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

function Chosen({ board }: { board: Board }) {
  const key = board.chosen
  const row = key === null ? undefined : stop(key)
  const of = key === null ? undefined : board.shown.stops.get(key)
  if (key === null || !row || !of) return null
  const lane = laneOf(board.shown, key)
  const shown = board.lanes.find((each) => each.lane === lane)
  const at = shown?.view.blocks.findIndex((block) => block.stop === key) ?? -1
  const block = shown?.view.blocks[at]
  const about = aboutStop(row)
  const acts = stopActs(board, key)
  return (
    <div data-stop={key}>
      <Section
        title={block ? `${at + 1} ${about.name}` : about.name}
        end={block && t.selected.span(timeText(block.starts), timeText(block.leaves))}
      >
        <p>
          {en.app.joined([
            en.dispatch.kinds[row.kind],
            machineName(about.machine),
            placeText(row).split('\n')[0],
            lane && laneName(lane),
            of.fixedAt === null ? undefined : t.block.fixed,
          ])}
        </p>
        {of.promised && (
          <p>
            <b>{t.block.promised(timeText(of.promised.opens), timeText(of.promised.closes))}</b>
            {`. ${t.selected.breaksLater(timeText(of.promised.closes), about.name)}`}
          </p>
        )}
        {about.site?.access_notes && <p class="access-notes">{about.site.access_notes}</p>}
        <fieldset class="board-keys" aria-label={t.selected.acts(stopName(key))}>
          {lane ? (
            <>
              <ActKey label={t.selected.earlier} keys="ArrowLeft" onPress={acts.earlier} />
              <ActKey label={t.selected.later} keys="ArrowRight" onPress={acts.later} />
              <ActKey label={t.selected.before} keys="Shift+ArrowLeft" onPress={acts.before} />
              <ActKey label={t.selected.after} keys="Shift+ArrowRight" onPress={acts.after} />
              <ActKey label={t.selected.rig} keys="ArrowUp" onPress={acts.up} />
              <ActKey label={t.selected.rig} keys="ArrowDown" onPress={acts.down} />
              {of.fixedAt !== null && <ActKey label={t.selected.asItComes} keys="A" onPress={acts.free} />}
              <ActKey label={t.selected.out} keys="X" onPress={acts.out} />
              <ActKey
                label={lane.locked ? t.selected.unlock : t.selected.lock}
                keys="L"
                onPress={acts.lock}
              />
            </>
          ) : (
            <ActKey label={t.put} keys="P" onPress={acts.put} />
          )}
          <Button
            label={t.selected.open}
            ariaLabel={`${t.selected.open}: ${about.name}`}
            to={{ at: 'stop', id: key }}
          />
        </fieldset>
      </Section>
    </div>
  )
}

function ActKey({ label, keys, onPress }: { label: string; keys: string; onPress: () => void }) {
  return (
    <button type="button" class="button" onClick={onPress}>
      {label} <KeyCaps keys={keys} />
    </button>
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
