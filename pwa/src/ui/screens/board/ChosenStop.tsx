import { laneOf } from '../../../domain/dispatch/board/plan'
import { board as t } from '../../../domain/words/board'
import { en } from '../../../domain/words/index'
import { stop } from '../../../store/dispatch'
import { Button } from '../../components/Button'
import { KeyCaps } from '../../components/KeyCaps'
import { Section } from '../../components/Section'
import { stopName } from '../../features/dispatch/checkText'
import { aboutStop, placeText } from '../../features/dispatch/stopText'
import { machineName } from '../../names'
import { laneName, timeText } from './boardText'
import type { Board } from './useBoard'
import { stopActs } from './useBoardKeys'

/** The chosen stop: its time, what was promised, access, and the keys that move it. */
export function ChosenStop({ board }: { board: Board }) {
  const key = board.chosen
  const row = key === null ? undefined : stop(key)
  const of = key === null ? undefined : board.shown.stops.get(key)
  if (key === null || !row || !of) return null
  const lane = laneOf(board.shown, key)
  const shown = board.lanes.find((each) => each.lane === lane)
  const at = shown?.view.blocks.findIndex((block) => block.stop === key) ?? -1
  const block = shown?.view.blocks[at]
  const about = aboutStop(row)
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
        <StopKeys board={board} stop={key} />
      </Section>
    </div>
  )
}

function StopKeys({ board, stop: id }: { board: Board; stop: string }) {
  const acts = stopActs(board, id)
  const lane = laneOf(board.shown, id)
  const fixed = board.shown.stops.get(id)?.fixedAt != null
  const name = stopName(id)
  return (
    <fieldset class="board-keys" aria-label={t.selected.acts(name)}>
      {lane ? (
        <>
          <ActKey label={t.selected.earlier} keys="ArrowLeft" onPress={acts.earlier} />
          <ActKey label={t.selected.later} keys="ArrowRight" onPress={acts.later} />
          <ActKey label={t.selected.before} keys="Shift+ArrowLeft" onPress={acts.before} />
          <ActKey label={t.selected.after} keys="Shift+ArrowRight" onPress={acts.after} />
          <ActKey label={t.selected.rig} keys="ArrowUp" onPress={acts.up} />
          <ActKey label={t.selected.rig} keys="ArrowDown" onPress={acts.down} />
          {fixed && <ActKey label={t.selected.asItComes} keys="A" onPress={acts.free} />}
          <ActKey label={t.selected.out} keys="X" onPress={acts.out} />
          <ActKey label={lane.locked ? t.selected.unlock : t.selected.lock} keys="L" onPress={acts.lock} />
        </>
      ) : (
        <ActKey label={t.put} keys="P" onPress={acts.put} />
      )}
      <Button label={t.selected.open} ariaLabel={`${t.selected.open}: ${name}`} to={{ at: 'stop', id }} />
    </fieldset>
  )
}

function ActKey({ label, keys, onPress }: { label: string; keys: string; onPress: () => void }) {
  return (
    <button type="button" class="button" onClick={onPress}>
      {label} <KeyCaps keys={keys} />
    </button>
  )
}
