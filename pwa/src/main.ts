import { computed, effect } from '@preact/signals'
import { h, render } from 'preact'
import { status } from './store/queue'
import { readAhead } from './store/search'
import { startSession } from './store/session'
import { watchForSignal } from './store/syncing'
import { keepApp } from './store/update'
import { App } from './ui/app'
import './ui/app.css'

/** Searching is made ready once the first screen has been drawn and looked at. */
const READ_AHEAD_AFTER_MS = 1_000

const root = document.getElementById('app')
if (!root) throw new Error('the page has a place for the app')
render(h(App, {}), root)

watchForSignal()
void startSession()
const ready = computed(() => status.value.ready)
effect(() => {
  if (ready.value) setTimeout(readAhead, READ_AHEAD_AFTER_MS)
})
if (import.meta.env.PROD) void keepApp()
