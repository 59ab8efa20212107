import { useEffect, useRef } from 'preact/hooks'
import { en } from '../../domain/words'
import { desk } from '../../domain/words/desk'
import { keys as t } from '../../domain/words/keys'
import { type KeyBinding, useKeys } from '../keys'
import { lazy } from '../lazy'
import { navigate, type Route } from '../router'
import { currentToast } from '../toast'
import { openDialog } from './dialogs'
import { focusFirstField, focusOpenItem } from './focusItem'
import { KeyList } from './KeyList'
import { type DeskPlaceName, openPlaces } from './places'

const DeskSearch = lazy(() => import('./search/DeskSearch').then((file) => file.DeskSearch))

/** The letter after G that goes to a place. */
const PLACE_KEYS: Record<keyof typeof desk.places, string> = {
  today: 't',
  jobs: 'j',
  quotes: 'q',
  road: 'r',
  board: 'b',
  customers: 'c',
  machines: 'm',
  stops: 's',
  money: 'i',
  payments: 'y',
  orders: 'o',
  hours: 'h',
  week: 'w',
  catalog: 'p',
  ageing: 'a',
  'services-due': 'v',
  'lead-times': 'l',
  more: 'e',
}

interface Props {
  /** The place at the left while an item is open, else null. */
  closesTo: Route | null
}

/** The keys that work everywhere at the desk, those of a plain list, and what they open over it. */
export function DeskKeys({ closesTo }: Props) {
  const lastRow = useLastRow()
  useKeys('anywhere', [
    { keys: '/', label: t.search, act: () => show('search') },
    {
      keys: 'n',
      label: en.today.newJob,
      act: () => {
        navigate({ at: 'new-job' })
        focusFirstField()
      },
    },
    {
      keys: 'u',
      label: t.undo,
      when: () => currentToast.value?.undo !== undefined,
      act: () => currentToast.peek()?.undo?.(),
    },
    {
      keys: 'Escape',
      label: t.close,
      when: () => closesTo !== null,
      act: () => {
        if (closesTo) navigate(closesTo)
        const row = lastRow.current?.isConnected
          ? lastRow.current
          : document.querySelector<HTMLElement>(LIST_HEAD)
        row?.focus({ preventScroll: true })
      },
    },
    ...openPlaces().map(goTo),
    { keys: '?', label: t.list, listOnly: true, act: () => show('keys') },
  ])
  useKeys('list', [
    { keys: ['ArrowDown', 'j'], label: t.down, when: inRows, act: () => moveRow(1) },
    { keys: ['ArrowUp', 'k'], label: t.up, when: inRows, act: () => moveRow(-1) },
    { keys: 'Enter', label: t.open, when: inRows, act: () => rowWithFocus()?.click() },
  ])
  return openDialog.value === 'search' ? <DeskSearch /> : openDialog.value === 'keys' ? <KeyList /> : null
}

function show(which: 'search' | 'keys'): void {
  openDialog.value = which
}

const goTo = (at: DeskPlaceName): KeyBinding => ({
  keys: `g ${PLACE_KEYS[at]}`,
  label: t.goTo(desk.places[at]),
  listOnly: true,
  act: () => {
    navigate({ at })
    focusList(Date.now() + 2_000)
  },
})

/** Gives the focus that went with the list before to the new one, once its code is there. */
function focusList(until: number): void {
  requestAnimationFrame(() => {
    if (document.activeElement !== document.body) return
    const head = document.querySelector<HTMLElement>(LIST_HEAD)
    if (head) head.focus({ preventScroll: true })
    else if (Date.now() < until) focusList(until)
  })
}

/** The row of the list that had the focus last: closing the item opened from it goes back there. */
function useLastRow() {
  const row = useRef<HTMLElement | null>(null)
  useEffect(() => {
    const remember = ({ target }: FocusEvent) => {
      if (target instanceof HTMLElement && target.closest('.desk-list')) row.current = target
    }
    // A press of Enter on a link is a click without a pointer.
    const opened = ({ target, detail }: MouseEvent) => {
      if (detail === 0 && (target as Element).closest?.(`${ROWS}[href]`)) focusOpenItem()
    }
    document.addEventListener('focusin', remember)
    document.addEventListener('click', opened)
    return () => {
      document.removeEventListener('focusin', remember)
      document.removeEventListener('click', opened)
    }
  }, [])
  return row
}

/** Where the keyboard is when a list comes: its row in turn, or its head. */
const LIST_HEAD = '.desk-list :is(tr[tabindex="0"], h1[tabindex])'

/** Whether the list has the keys: the open item scrolls by arrows of its own. */
export const inList = () => !document.activeElement?.closest('.desk-item')

/** The planning board has no rows, and keys of its own. */
const inRows = () => inList() && !document.querySelector('.desk-list .board')

const ROWS = '.desk-list .list-item:is(a, button, summary)'

const rowWithFocus = () => document.activeElement?.closest<HTMLElement>(ROWS)

/** Moves the focus along the rows of a plain list; from elsewhere to its first. */
function moveRow(by: 1 | -1): void {
  const rows = [...document.querySelectorAll<HTMLElement>(ROWS)].filter((row) => row.checkVisibility())
  const at = rows.indexOf(document.activeElement as HTMLElement)
  rows[at < 0 ? 0 : Math.min(rows.length - 1, Math.max(0, at + by))]?.focus()
}
