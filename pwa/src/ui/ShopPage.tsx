import { useComputed } from '@preact/signals'
import type { ComponentProps } from 'preact'
import { useContext } from 'preact/hooks'
import { en } from '../domain/words'
import { nameOfRow } from '../store/rows/nameOfRow'
import { Page } from './components/Page'
import { PaneBar, PlaceBar, SearchLink, StatusLine } from './components/StatusLine'
import { PaneContext } from './pane'
import { RunningTime } from './RunningTime'
import { type MenuRouteName, menuRoutes, parentRoute, placeOf } from './routeAccess'
import { buildPath, currentRoute, type Route } from './router'
import { StillComing } from './StillComing'
import { syncState } from './syncState'
import { currentToast } from './toast'

type Props = Omit<ComponentProps<typeof Page>, 'statusLine' | 'toast' | 'bar' | 'subject'> & {
  /** The screen that Back leads to, unless the route table says it. */
  back?: Route | undefined
}

const isPlace = (at: Route['at']): at is MenuRouteName<'bar'> => at in en.app.places

/** A page for members: joined to the status line, the places, the current toast and the back link of the route. */
export function ShopPage({ back, children, ...page }: Props) {
  const { at } = currentRoute.value
  const subject = subjectOf(currentRoute.value)
  const sync = useComputed(syncState)
  const parent = back ?? parentRoute(at)
  const pane = useContext(PaneContext)
  // The list at the left and the search over it need no way back.
  const leads = parent && parent.at !== pane?.place.at && parent.at !== 'find'
  if (pane)
    return (
      <Page
        {...page}
        subject={subject}
        statusLine={
          pane.side === 'item' && (
            <PaneBar
              label={en.app.name}
              back={leads ? { to: parent, text: placeName(at, parent) } : null}
              close={{ to: pane.place, text: en.app.close }}
            />
          )
        }
        toast={pane.leads ? currentToast.value : null}
      >
        {pane.side === 'list' && <StillComing />}
        {children}
      </Page>
    )
  return (
    <Page
      {...page}
      subject={subject}
      statusLine={
        <StatusLine
          label={en.app.name}
          place={placeName(at, parent)}
          back={parent}
          sync={sync.value}
          end={at !== 'find' && <SearchLink label={en.find.title} to={{ at: 'find' }} />}
        >
          {at !== 'today' && <RunningTime />}
        </StatusLine>
      }
      bar={<Places at={at} />}
      toast={currentToast.value}
    >
      <StillComing />
      {children}
    </Page>
  )
}

/** The name of the row that a screen is about. */
function subjectOf(route: Route): string {
  if ('lineId' in route) return nameOfRow(route.lineId)
  return 'id' in route ? nameOfRow(route.id) : ''
}

/** What the head of the status line says: the place itself, or the place that Back leads to. */
function placeName(at: Route['at'], parent: Route | undefined): string {
  const named = parent?.at ?? at
  if (isPlace(named)) return en.app.places[named]
  return parent ? en.app.back : en.app.name
}

function Places({ at }: { at: Route['at'] }) {
  const places = menuRoutes('bar').map((place) => ({
    at: place,
    text: en.app.places[place],
    path: buildPath({ at: place }),
  }))
  return <PlaceBar label={en.app.placesLabel} places={places} current={placeOf(at)} />
}
