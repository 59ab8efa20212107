import { computed, effect } from '@preact/signals'
import { h, render } from 'preact'
import { installServiceWorker, updateReady } from './store/browser/appUpdate'
import { allowOwnWorkers } from './store/browser/ownWorkers'
import { syncSummary } from './store/queue/queue'
import { loadReplays } from './store/replay/replay'
import { startSession, watchPage } from './store/session/session'
import { watchForSignal } from './store/sync/startWorker'
import { App } from './ui/app'
import { preloadLazy } from './ui/lazy'
import './ui/app.css'

/** What the first screen does not need comes once that has been drawn and looked at. */
const READ_AHEAD_AFTER_MS = 1_000

allowOwnWorkers()
const root = document.getElementById('app')
if (!root) throw new Error('the page has a place for the app')
render(h(App, {}), root)

watchForSignal()
watchPage()
void startSession()
const ready = computed(() => syncSummary.value.ready)
effect(() => {
  if (ready.value) setTimeout(readOn, READ_AHEAD_AFTER_MS)
})
if (import.meta.env.PROD) void installServiceWorker()

function readOn(): void {
  // Chromium may keep the old worker for a request that comes as it ends: with a new version waiting, none is made ahead.
  if (updateReady.peek()) return
  void preloadLazy()
  void loadReplays()
  import('./store/drafts').then(
    ({ adoptOldDrafts: adopt }) => adopt(),
    () => undefined,
  )
  import('./store/search/search').then(
    ({ buildIndexes: readAhead }) => readAhead(),
    () => undefined,
  )
}
