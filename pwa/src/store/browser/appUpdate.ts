import { computed, effect, signal } from '@preact/signals'
import { isUnsent } from '../queue/entry'
import { queue, syncSummary } from '../queue/queue'

const waiting = signal<ServiceWorker | null>(null)
const unsavedForms = signal<ReadonlySet<string>>(new Set())

/** A new version of the app is installed and waits. */
export const updateReady = computed(() => waiting.value !== null)

/** The server refuses rows to this version of the app. */
export const tooOld = computed(() => syncSummary.value.stopped === 'upgrade')

/**
 * Nothing would be lost by changing to the new version now. The queue is stored outside the page; but while the server
 * still accepts this version, its commands are sent by it first.
 */
export const canUpdate = computed(
  () => updateReady.value && unsavedForms.value.size === 0 && (tooOld.value || !queue.value.some(isUnsent)),
)

/** Sets, by the form's name, whether it has unsaved input. */
export function noteUnsaved(form: string, is_dirty: boolean): void {
  if (unsavedForms.peek().has(form) === is_dirty) return
  const forms = new Set(unsavedForms.peek())
  if (is_dirty) forms.add(form)
  else forms.delete(form)
  unsavedForms.value = forms
}

/** Sends the new worker its message once, then reloads: the browser may keep the old worker while the page is open. */
const RELOAD_AFTER_MS = 3000
let isReloading = false

function reloadOnce(): void {
  if (isReloading || !canUpdate.peek()) return
  isReloading = true
  location.reload()
}

/**
 * Changes to the new version, which reloads the page. Does nothing while something would be lost.
 *
 * A browser may have let the new worker take over by itself between two pages. And Chromium may restart the old one for
 * a request that came as it was ending: then the new one waits until this page has gone.
 */
export function switchToUpdate(): boolean {
  const worker = waiting.peek()
  if (worker === null || !canUpdate.peek()) return false
  if (worker.state === 'installed') {
    worker.postMessage('take-over')
    setTimeout(reloadOnce, RELOAD_AFTER_MS)
  } else {
    reloadOnce()
  }
  return true
}

/** Has the service worker store the desk's files, which it does not store on a device that never opens the desk. */
export function storeDesk(): void {
  navigator.serviceWorker?.ready.then(
    ({ active }) => active?.postMessage('store-desk'),
    () => undefined,
  )
}

/**
 * Registers the service worker and watches for new versions. A browser that refuses it runs the app too, but only with
 * a signal.
 */
export async function installServiceWorker(): Promise<void> {
  if (!('serviceWorker' in navigator)) return
  const registration = await navigator.serviceWorker.register('/sw.js').catch(() => null)
  if (registration === null) return
  const look = () => {
    const worker = registration.waiting
    if (worker === null || worker === waiting.peek() || !navigator.serviceWorker.controller) return
    waiting.value = worker
    // By any page: the files of the old version are gone with its worker.
    worker.addEventListener('statechange', () => {
      if (worker.state === 'activated' || worker.state === 'redundant') reloadOnce()
    })
  }
  look()
  registration.addEventListener('updatefound', () => {
    registration.installing?.addEventListener('statechange', look)
  })
  navigator.serviceWorker.addEventListener('controllerchange', reloadOnce)
  const fetchNew = () => void registration.update().catch(() => undefined)
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') fetchNew()
  })
  // Each round that the server refuses checks for a new version again.
  const turned_away = computed(() => tooOld.value && !syncSummary.value.working)
  effect(() => {
    if (turned_away.value && waiting.peek() === null) fetchNew()
  })
}
