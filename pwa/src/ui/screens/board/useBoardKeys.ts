import { signal } from '@preact/signals'
import {
  bestPlace,
  leaveOut,
  setStartAt,
  shiftOrder,
  shiftRig,
  shiftStart,
  toggleLock,
} from '../../../domain/dispatch/board/moves'
import { type BoardMove, laneOf, type Refusal } from '../../../domain/dispatch/board/plan'
import { daysAfter } from '../../../domain/time'
import { board as t } from '../../../domain/words/board'
import { type KeyBinding, useKeys } from '../../keys'
import { navigate } from '../../router'
import type { Board } from './useBoard'

/** What can be done with a stop of the board; each is a key and, in part, a button. */
export function stopActs({ draft, make }: Board, stop: string) {
  const act = (tried: BoardMove | Refusal) => make(tried)
  return {
    earlier: () => act(shiftStart(draft, stop, -1)),
    later: () => act(shiftStart(draft, stop, 1)),
    before: () => act(shiftOrder(draft, stop, -1)),
    after: () => act(shiftOrder(draft, stop, 1)),
    up: () => act(shiftRig(draft, stop, -1)),
    down: () => act(shiftRig(draft, stop, 1)),
    out: () => act(leaveOut(draft, stop)),
    free: () => act(setStartAt(draft, stop, null)),
    put: () => act(bestPlace(draft, stop)),
    lock: () => {
      const lane = laneOf(draft, stop)
      act(lane ? toggleLock(draft, lane.rig.key) : 'waits')
    },
  }
}

/** Whether the focus is on a stop: elsewhere the arrows scroll. A signal, so that the line of keys follows. */
export const isOnStop = signal(false)

const firstStop = () => document.querySelector<HTMLElement>('.lane [data-stop]')

/** Whether the focus is on nothing but the page or its heading: Tab leads to the first stop then, and elsewhere as ever. */
const isBefore = () => document.activeElement?.matches('body, .desk-list h1') === true && firstStop() !== null

export function useBoardKeys(board: Board): void {
  const acts = board.chosen === null ? null : stopActs(board, board.chosen)
  const waits = board.chosen !== null && laneOf(board.draft, board.chosen) === undefined
  const bind = (
    keys: string,
    label: string,
    act: (() => void) | undefined,
    listOnly = false,
  ): KeyBinding => ({
    keys,
    label,
    act: () => act?.(),
    when: () => isOnStop.value,
    listOnly,
  })
  const anywhere = (keys: string, label: string, act: () => void, when = true): KeyBinding => ({
    keys,
    label,
    act,
    when: () => when,
    listOnly: !when,
  })
  const go = (days: number) => navigate({ at: 'board', day: daysAfter(board.day, days) })
  useKeys('board', [
    { keys: 'Tab', label: t.keys.next, when: isBefore, act: () => firstStop()?.focus() },
    bind('ArrowLeft', t.keys.earlier, acts?.earlier),
    bind('ArrowRight', t.keys.later, acts?.later),
    bind('Shift+ArrowLeft', t.keys.before, acts?.before, true),
    bind('Shift+ArrowRight', t.keys.after, acts?.after, true),
    bind('ArrowUp', t.keys.rigUp, acts?.up),
    bind('ArrowDown', t.keys.rigDown, acts?.down),
    bind('a', t.keys.free, acts?.free, true),
    bind('l', t.keys.lock, acts?.lock),
    bind('x', t.keys.out, acts?.out),
    bind('p', t.keys.put, waits ? acts?.put : undefined, true),
    anywhere('u', t.keys.undo, board.undo, board.moves.length > 0),
    { keys: '[', label: t.keys.dayBefore, act: () => go(-1) },
    { keys: ']', label: t.keys.dayAfter, act: () => go(1) },
  ])
}
