import { useState } from 'preact/hooks'
import { type LaneView, viewLane } from '../../../domain/dispatch/board/lanes'
import {
  applyMoves,
  type BoardMove,
  type BoardPlan,
  type Lane,
  laneOf,
  type Refusal,
} from '../../../domain/dispatch/board/plan'
import type { Day } from '../../../domain/time'
import { board as t } from '../../../domain/words/board'
import { boardOf, sendBoard } from '../../../store/board'
import { today } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { useDraft } from '../../useDraft'
import { useNow } from '../../useNow'
import { tellMove } from './boardText'

/** A lane with what it shows. */
export interface LaneShown {
  lane: Lane
  view: LaneView
  /** The number of its mark on the map, from 0. */
  shape: number
}

export interface Board {
  day: Day
  /** As stored. */
  stored: BoardPlan
  /** With the moves that are not sent yet. */
  draft: BoardPlan
  /** With the move that the pointer is just trying, too. */
  shown: BoardPlan
  lanes: readonly LaneShown[]
  moves: readonly BoardMove[]
  /** The stop that keys and buttons move. */
  chosen: string | null
  choose: (stop: string | null) => void
  /** The stop that the pointer is moving. */
  dragged: string | null
  /** The last move and its check, in words. */
  told: string
  /** Adds a move to the draft, or says why it cannot be made. */
  make: (tried: BoardMove | Refusal) => void
  /** Shows a move without making it; null ends that. */
  show: (stop: string, tried: BoardMove | Refusal | null) => void
  undo: () => void
  send: () => Promise<void>
  isMoved: (stop: string) => boolean
}

/** The board of a day with its draft, which stays on this device until it is sent; null without a yard. */
export function useBoard(day: Day): Board | null {
  const now = useNow()
  const draft = useDraft<{ moves: readonly BoardMove[] }>(`board:${day}`, { moves: [] })
  const [chosen, choose] = useState<string | null>(null)
  const [trial, setTrial] = useState<{ stop: string; move: BoardMove | null } | null>(null)
  const [told, tell] = useState('')
  const stored = boardOf(day, today(), now)
  if (!stored) return null
  const { moves } = draft.fields
  const planned = applyMoves(stored, moves)
  const shown = trial?.move ? applyMoves(planned, [trial.move]) : planned
  const setMoves = (after: readonly BoardMove[]) => draft.update({ moves: after })
  const tellTried = (tried: BoardMove | Refusal) =>
    tell(
      typeof tried === 'string' ? t.refusals[tried] : tellMove(planned, applyMoves(planned, [tried]), tried),
    )
  return {
    day,
    stored,
    draft: planned,
    shown,
    lanes: shown.lanes.map((lane, shape) => ({ lane, view: viewLane(shown, lane), shape })),
    moves,
    chosen,
    choose,
    dragged: trial?.stop ?? null,
    told,
    make(tried) {
      tellTried(tried)
      setTrial(null)
      if (typeof tried !== 'string') setMoves([...moves, tried])
    },
    show(stop, tried) {
      if (tried !== null) tellTried(tried)
      setTrial(tried === null ? null : { stop, move: typeof tried === 'string' ? null : tried })
    },
    undo() {
      if (moves.length === 0) return
      setMoves(moves.slice(0, -1))
      tell(t.told.undone)
    },
    async send() {
      const saved = await saveWithToast(() => sendBoard(day, stored, planned))
      if (!saved) return
      setMoves([])
      tell('')
      showToast(t.sent, async () => {
        const current = boardOf(day, today(), Date.now())
        if (current) await sendBoard(day, current, stored)
      })
    },
    isMoved: (stop) =>
      [...moves, ...(trial?.move ? [trial.move] : [])].some(
        (move) => move.kind !== 'lock' && move.stop === stop,
      ) && isMoved(stored, shown, stop),
  }
}

/** Whether a stop is on another rig, in another place of its order, or at another fixed time than stored. */
function isMoved(stored: BoardPlan, shown: BoardPlan, stop: string): boolean {
  const place = (plan: BoardPlan) => {
    const lane = laneOf(plan, stop)
    const at = lane?.slots.findIndex((slot) => slot.stop === stop) ?? -1
    return JSON.stringify([
      lane?.rig.key,
      lane?.slots[at]?.trip,
      lane?.slots[at - 1]?.stop,
      plan.stops.get(stop)?.fixedAt,
    ])
  }
  return place(stored) !== place(shown)
}
