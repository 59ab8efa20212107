import { useComputed } from '@preact/signals'
import type { ComponentProps } from 'preact'
import { en } from '../domain/words'
import { saveTrouble } from '../store/database/storageStatus'
import { openIssues } from '../store/issues'
import { syncSummary } from '../store/queue/queue'
import { running } from '../store/timeEntries'
import { Page } from './components/Page'
import { PlaceBar, SearchLink, StatusLine, type SyncState } from './components/StatusLine'
import { minutesOf } from './features/clock/timeEntryText'
import { type MenuRouteName, menuRoutes, parentRoute, placeOf } from './routeAccess'
import { buildPath, currentRoute, type Route } from './router'
import { currentToast } from './toast'
import { useNow } from './useNow'

const t = en.queueLine

/** The state of the outbox in two or three words. */
function syncState(): SyncState {
  const { waiting, pictures, stuck, refused, stopped, signal, lost } = syncSummary.value
  const unsent = waiting + pictures
  const needed = refused + stuck + openIssues.value.length
  const attention = (text: string): SyncState => ({
    text,
    mark: 'needs-attention',
    ...(unsent > 0 && { label: en.app.listed([text, t.toSend(unsent)]) }),
  })
  if (saveTrouble.value) return attention(t.cannotSave)
  if (stopped && unsent) return attention(t.signIn)
  if (lost) return attention(t.lost(lost))
  if (needed) return attention(t.needYou(needed))
  if (unsent && signal === 'no')
    return {
      text: t.toSend(unsent),
      label: en.app.listed([t.toSend(unsent), t.noSignal]),
      mark: 'no-signal',
    }
  if (unsent) return { text: t.toSend(unsent), mark: 'unsent' }
  return signal === 'no' ? { text: t.noSignal, mark: 'no-signal' } : { text: t.sent, mark: 'sent' }
}

type Props = Omit<ComponentProps<typeof Page>, 'statusLine' | 'toast' | 'bar'> & {
  /** The screen that Back leads to, unless the route table says it. */
  back?: Route | undefined
}

const isPlace = (at: Route['at']): at is MenuRouteName<'bar'> => at in en.app.places

/** A page for members: joined to the status line, the places, the current toast and the back link of the route. */
export function ShopPage({ back, ...page }: Props) {
  const { at } = currentRoute.value
  const sync = useComputed(syncState)
  const parent = back ?? parentRoute(at)
  return (
    <Page
      {...page}
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
    />
  )
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

/** The running clock on every screen but Today, which shows it large. */
function RunningTime() {
  const now = useNow()
  const runs = running.value.at(-1)
  if (!runs) return null
  const minutes = minutesOf(runs, now)
  return (
    <a
      class="running-time"
      href={buildPath(runs.job_id === null ? { at: 'today' } : { at: 'job', id: runs.job_id })}
    >
      <span aria-hidden="true">{en.clockFace.running(minutes)}</span>
      <b class="visually-hidden">{en.clockFace.runningLabel(Math.floor(minutes / 60), minutes % 60)}</b>
    </a>
  )
}
