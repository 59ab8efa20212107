import { en } from '../../../domain/words'
import { running } from '../../../store/timeEntries'
import { stop } from '../../features/clock/Clock'
import { minutesOf } from '../../features/clock/timeEntryText'
import type { KeyBinding } from '../../keys'
import { MENU_WORDS } from '../../menuWords'
import { menuRoutes } from '../../routeAccess'
import { navigate, type Route } from '../../router'
import { keyGroups } from '../keyGroups'

/** What the search itself does, and moving about in lists, is not to be searched for. */
const MOVES = /^(?:Arrow|Enter|Escape|Page|[/?]$)/

/** What can be done just now: by key where the screen is, on the clock, and the screens under More. */
export function actsHere(): KeyBinding[] {
  const byKey = keyGroups()
    .flatMap(({ bindings }) => bindings)
    .filter(({ keys, label }) => label && !MOVES.test(typeof keys === 'string' ? keys : (keys[0] ?? '')))
  const runs = running.peek().at(-1)
  const clock: KeyBinding[] = runs
    ? [{ keys: [], label: en.clockFace.stopClock, act: () => void stop(minutesOf(runs, Date.now())) }]
    : [{ keys: [], label: en.clockFace.start, act: () => navigate({ at: 'clock' }) }]
  const screens = menuRoutes('more').map((at) => ({
    keys: [],
    label: MENU_WORDS[at].title,
    act: () => navigate({ at } as Route),
  }))
  const known = new Set(byKey.map(({ label }) => label))
  return [...byKey, ...[...clock, ...screens].filter(({ label }) => !known.has(label))]
}
