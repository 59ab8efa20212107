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

/**
 * Changes to the new version, which starts the page anew. Does nothing while something would be lost.
 *
 * The page hears of the change in more than one way: a browser may have let the new worker take over by itself
 * between two pages, and then no change of controller comes any more.
 */
export function takeOver(): boolean {
  const worker = waiting.peek()
  if (worker === null || !mayTakeOver.peek()) return false
  if (worker.state !== 'installed') {
    location.reload()
    return true
  }
  const heard = new AbortController()
  const startAnew = () => {
    heard.abort()
    location.reload()
  }
  navigator.serviceWorker.addEventListener('controllerchange', startAnew, { signal: heard.signal })
  worker.addEventListener(
    'statechange',
    () => {
      if (worker.state === 'activated' || worker.state === 'redundant') startAnew()
    },
    { signal: heard.signal },
  )
  worker.postMessage('take-over')
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
    if (registration.waiting && navigator.serviceWorker.controller) waiting.value = registration.waiting
  }
  look()
  registration.addEventListener('updatefound', () => {
    registration.installing?.addEventListener('statechange', look)
  })
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') void registration.update().catch(() => undefined)
  })
}
