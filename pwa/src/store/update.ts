import { computed, signal } from '@preact/signals'
import { isUnsent } from './entry'
import { queue } from './queue'

const waiting = signal<ServiceWorker | null>(null)
const dirty = signal<ReadonlySet<string>>(new Set())

/** A new version of the app is on the phone and waits to be used. */
export const updateReady = computed(() => waiting.value !== null)

/** Nothing would be lost by changing to the new version now. */
export const mayTakeOver = computed(
  () => updateReady.value && dirty.value.size === 0 && !queue.value.some(isUnsent),
)

/** A form says under its own name whether it holds something not saved. */
export function noteDirty(form: string, is_dirty: boolean): void {
  if (dirty.peek().has(form) === is_dirty) return
  const forms = new Set(dirty.peek())
  if (is_dirty) forms.add(form)
  else forms.delete(form)
  dirty.value = forms
}

/** The new worker is told once, and then the page goes: while it is here the old worker may be kept for it. */
const PATIENCE_MS = 3000
let going = false

function startAnew(): void {
  if (going || !mayTakeOver.peek()) return
  going = true
  location.reload()
}

/**
 * Changes to the new version, which starts the page anew. Does nothing while something would be lost.
 *
 * A browser may have let the new worker take over by itself between two pages. And Chromium may start the old
 * one again for a request that came as it was ending: then the new one waits on until this page has gone.
 */
export function takeOver(): boolean {
  const worker = waiting.peek()
  if (worker === null || !mayTakeOver.peek()) return false
  if (worker.state === 'installed') {
    worker.postMessage('take-over')
    setTimeout(startAnew, PATIENCE_MS)
  } else {
    startAnew()
  }
  return true
}

/**
 * Keeps the app on the phone for starts without a signal, and watches for new versions of it. A browser
 * that refuses runs the app all the same, with a signal.
 */
export async function keepApp(): Promise<void> {
  if (!('serviceWorker' in navigator)) return
  const registration = await navigator.serviceWorker.register('/sw.js').catch(() => null)
  if (registration === null) return
  const look = () => {
    const worker = registration.waiting
    if (worker === null || worker === waiting.peek() || !navigator.serviceWorker.controller) return
    waiting.value = worker
    // Whichever page let it take over: the files of the old version are gone with its worker.
    worker.addEventListener('statechange', () => {
      if (worker.state === 'activated' || worker.state === 'redundant') startAnew()
    })
  }
  look()
  registration.addEventListener('updatefound', () => {
    registration.installing?.addEventListener('statechange', look)
  })
  navigator.serviceWorker.addEventListener('controllerchange', startAnew)
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') void registration.update().catch(() => undefined)
  })
}
