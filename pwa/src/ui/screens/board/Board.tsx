import { useEffect, useLayoutEffect, useRef } from 'preact/hooks'
import { type Day, daysAfter } from '../../../domain/time'
import { board as t } from '../../../domain/words/board'
import { rigs } from '../../../store/dispatch'
import { Button, ButtonRow } from '../../components/Button'
import { currentRoute } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { BoardLanes } from './BoardLanes'
import { BoardSide } from './BoardSide'
import { LeftOut } from './LeftOut'
import { type Board as BoardState, useBoard } from './useBoard'
import { isOnStop, useBoardKeys } from './useBoardKeys'

/** The planning board: the rigs of a day by hours, their stops as blocks. */
export function Board({ day }: { day?: string | undefined }) {
  const on = day && /^\d{4}-\d\d-\d\d$/u.test(day) ? day : today()
  return <BoardOfDay key={on} day={on} />
}

function BoardOfDay({ day }: { day: Day }) {
  const board = useBoard(day)
  if (!board || rigs.value.length === 0)
    return (
      <ShopPage title={t.title}>
        <div class="empty-state">
          <b>{board ? t.noRigs : t.noYard}</b>
          {board && <p>{t.noRigsHint}</p>}
        </div>
        <ButtonRow>
          <Button label={board ? t.addRig : t.yard} to={board ? { at: 'new-rig' } : { at: 'yard' }} />
        </ButtonRow>
      </ShopPage>
    )
  return <BoardPage board={board} />
}

function BoardPage({ board }: { board: BoardState }) {
  const main = useRef<HTMLDivElement>(null)
  useBoardKeys(board)
  useEffect(
    () => () => {
      isOnStop.value = false
    },
    [],
  )
  useLayoutEffect(() => {
    // A block that went to another rig is another element: the keyboard goes with it.
    if (board.chosen === null || document.activeElement !== document.body) return
    main.current?.querySelector<HTMLElement>(`[data-stop="${board.chosen}"]`)?.focus({ preventScroll: true })
  })
  const unsent = board.moves.length
  return (
    <ShopPage
      title={format.value.longDay(board.day)}
      overline={t.title}
      subtitle={unsent > 0 ? t.changes(unsent) : t.noChanges}
      variant="board-page"
      badge={<BoardActs board={board} />}
    >
      <div
        class="board-split"
        ref={main}
        onFocusIn={({ target }) => {
          const stop = stopAt(target)
          isOnStop.value = stop !== null
          if (stop !== null) board.choose(stop)
        }}
        onFocusOut={({ relatedTarget }) => {
          isOnStop.value = stopAt(relatedTarget) !== null
        }}
      >
        <div>
          <p id="board-told" class="board-told" role="status">
            {board.told || t.hint}
          </p>
          <BoardLanes board={board} />
          <Legend />
          <LeftOut board={board} />
        </div>
        <BoardSide board={board} />
      </div>
    </ShopPage>
  )
}

/** The stop that an element of the board is about. */
const stopAt = (target: EventTarget | null): string | null =>
  target instanceof Element ? (target.closest('[data-stop]')?.getAttribute('data-stop') ?? null) : null

function BoardActs({ board }: { board: BoardState }) {
  const go = (days: number) => ({ at: 'board', day: daysAfter(board.day, days) }) as const
  return (
    <div class="board-acts">
      <Button label="←" ariaLabel={t.dayBefore} to={go(-1)} />
      <Button label="→" ariaLabel={t.dayAfter} to={go(1)} />
      <Button label={t.runs} to={{ at: 'road' }} />
      <Button label={t.replan} to={{ at: 'plan' }} current={currentRoute.value.at === 'plan'} />
      {board.moves.length > 0 && (
        <>
          <Button label={t.undo} onPress={board.undo} />
          <button type="button" class="button send" onClick={() => void board.send()}>
            {t.send}
          </button>
        </>
      )}
    </div>
  )
}

function Legend() {
  return (
    <p class="board-legend">
      <span>
        <i class="promise" /> {t.legend.promised}
      </span>
      <span>
        <i class="drive">18</i> {t.legend.drive}
      </span>
      <span>
        <i class="block odd" /> {t.legend.odd}
      </span>
      <span>
        <i class="block hurt" /> {t.legend.hurt}
      </span>
      <span>
        <i class="block moved" /> {t.legend.moved}
      </span>
    </p>
  )
}
