import { effect, signal } from '@preact/signals'
import type { JSX } from 'preact'
import { en } from '../../domain/words'
import { desk as t } from '../../domain/words/desk'
import { storeDesk } from '../../store/browser/appUpdate'
import { session } from '../../store/session/session'
import { shop } from '../../store/shop'
import { adoptStyles } from '../adoptStyles'
import { buttonKeys } from '../buttonKeys'
import { buttonKey, KeyCaps } from '../components/KeyCaps'
import { SearchIcon } from '../components/StatusLine'
import { type Pane, PaneContext } from '../pane'
import { RunningTime } from '../RunningTime'
import { buildPath, currentRoute, type Route } from '../router'
import { syncState } from '../syncState'
import { DeskKeys } from './DeskKeys'
import styles from './desk.css?inline'
import { openDialog } from './dialogs'
import { KeyLine } from './KeyLine'
import { type DeskPlaceName, deskPlace, deskPlaceOf, deskPlaces, isDeskPlace, tabOf, tabPath } from './places'

/** What is at the left, with its query: it stays while the right changes, until another place is gone to. */
export const shownPlace = signal<Route>({ at: 'today' })

buttonKeys.value = buttonKey
adoptStyles(styles)
storeDesk()

let started = false
effect(() => {
  const route = currentRoute.value
  if (isDeskPlace(route.at)) shownPlace.value = route
  else if (!started) shownPlace.value = { at: deskPlaceOf(route) }
  started = true
})

interface Props {
  /** The screen of a route, which survives its own failure. */
  screenOf: (route: Route) => JSX.Element
}

/** The app from about 1000 px: the places as tabs, the list of the place, the open item beside it, the line of keys. */
export function Desk({ screenOf }: Props) {
  const place = shownPlace.value
  const at = place.at as DeskPlaceName
  const route = currentRoute.value
  const open = isDeskPlace(route.at) ? null : route
  const { list: List, whole } = deskPlace(at)
  const pane = (side: Pane['side']): Pane => ({ side, leads: side === 'item' || !open, place })
  return (
    <div class="desk">
      <DeskKeys closesTo={open && place} />
      <a class="visually-hidden skip-link" href="#work">
        {en.app.skip}
      </a>
      <DeskTop at={at} />
      <main id="work" tabIndex={-1} class={whole && !open ? 'desk-panes whole' : 'desk-panes'}>
        <section class="desk-list" aria-label={t.places[at]} key={at}>
          <PaneContext.Provider value={pane('list')}>
            {List ? <List {...place} /> : screenOf(place)}
          </PaneContext.Provider>
        </section>
        {open ? (
          <section class="desk-item" aria-label={t.openItem} key={buildPath(open)}>
            <PaneContext.Provider value={pane('item')}>{screenOf(open)}</PaneContext.Provider>
          </section>
        ) : (
          !whole && (
            <section class="desk-item" aria-label={t.openItem}>
              <p class="empty-state">{t.nothingOpen}</p>
            </section>
          )
        )}
      </main>
      <KeyLine />
    </div>
  )
}

function DeskTop({ at }: { at: DeskPlaceName }) {
  const sync = syncState()
  const { member } = session.value
  return (
    <header class="desk-top">
      <span class="shop-name">{shop.value?.name ?? en.app.name}</span>
      <nav aria-label={en.app.placesLabel}>
        {deskPlaces().map((name) => (
          <a key={name} href={tabPath(name)} aria-current={name === tabOf(at) ? 'page' : undefined}>
            {t.places[name]}
          </a>
        ))}
      </nav>
      <RunningTime />
      <button
        type="button"
        class="search-link"
        aria-keyshortcuts="/"
        onClick={() => {
          openDialog.value = 'search'
        }}
      >
        <SearchIcon /> {en.find.title} <KeyCaps keys="/" />
      </button>
      <a href="/queue" class={`sync-status ${sync.mark}`} aria-label={sync.label}>
        {sync.text}
      </a>
      <a class="who" href={buildPath({ at: 'settings' })}>
        {member?.name}
      </a>
    </header>
  )
}
