import type { Block } from '../../../domain/dispatch/board/lanes'
import { stop } from '../../../store/dispatch'
import { stopName } from '../../features/dispatch/checkText'
import { navigate } from '../../router'
import { blockLabel, blockText } from './boardText'
import { ShapeMark } from './ShapeMark'
import type { Board, LaneShown } from './useBoard'

interface BlockItemProps {
  board: Board
  of: LaneShown
  block: Block
  number: number
  percent: (second: number) => string
  onGrab: (event: PointerEvent) => void
}

/** A stop as a block of its lane, with the drive to it and what was promised. */
export function BlockItem({
  board,
  of: { lane, view, shape },
  block,
  number,
  percent,
  onGrab,
}: BlockItemProps) {
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
  const label = blockLabel(row, number, block, of, moved)
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
        aria-label={label}
        title={label}
        aria-describedby={lane.locked ? 'board-told' : undefined}
        style={span(starts, leaves)}
        onClick={open}
        onPointerDown={onGrab}
      >
        <b>{stopName(key)}</b> <span>{blockText(row, block)}</span>
      </button>
      <span class="number" aria-hidden="true" style={{ left: percent(starts) }}>
        <ShapeMark shape={shape} text={`${number}`} />
      </span>
    </li>
  )
}

/** The drive home at the end of a lane. */
export function HomeDrive({ of: { view }, percent }: { of: LaneShown; percent: (second: number) => string }) {
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
