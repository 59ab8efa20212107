import { computed, effect } from '@preact/signals'
import { h, render } from 'preact'
import { status } from './store/queue'
import { startSession } from './store/session'
import { watchForSignal } from './store/syncing'
import { keepApp, updateReady } from './store/update'
import { App } from './ui/app'
import { fetchScreens } from './ui/screens/later'
import './ui/app.css'

/** What the first screen does not need comes once that has been drawn and looked at. */
const READ_AHEAD_AFTER_MS = 1_000

const root = document.getElementById('app')
if (!root) throw new Error('the page has a place for the app')
render(h(App, {}), root)

watchForSignal()
void startSession()
const ready = computed(() => status.value.ready)
effect(() => {
  if (ready.value) setTimeout(readOn, READ_AHEAD_AFTER_MS)
})
if (import.meta.env.PROD) void keepApp()

function readOn(): void {
  // Chromium may keep the old worker for a request that comes as it ends: with a new version waiting, none is made ahead.
  if (updateReady.peek()) return
  void fetchScreens()
  import('./store/search').then(
    ({ readAhead }) => readAhead(),
    () => undefined,
  )
}
