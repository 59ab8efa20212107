import { stamp } from '../browser/clock'
import { shopSession } from '../session/shopSession'
import type { WorkerStart } from './worker'

declare const __BUILD__: string

/** The version of the app. */
export const build = __BUILD__

let worker: Worker | null = null

/** Starts the sync worker of the open shop; of several tabs only one does the work. */
export function startSyncing(): void {
  const shop = shopSession.peek()
  if (!shop) return
  shop.wake()
  if (worker) return
  worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module', name: 'sync' })
  worker.postMessage({ who: shop.who, label: deviceLabel(), build, clocks: stamp() } satisfies WorkerStart)
}

export function stopSyncing(): void {
  worker?.terminate()
  worker = null
}

/** Syncs at once when the page is shown again or the browser is back online. */
export function watchForSignal(): void {
  const wake = () => shopSession.peek()?.wake()
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') wake()
  })
  addEventListener('online', wake)
}

/** A name of this device for lists: its browser and system, as far as known. */
function deviceLabel(): string {
  const system = /Android|iPhone|iPad|Macintosh|Windows|CrOS|Linux/.exec(navigator.userAgent)?.[0] ?? ''
  const browser = /Firefox|Edg|Chrome|Safari/.exec(navigator.userAgent)?.[0] ?? ''
  return [browser, system].filter(Boolean).join(', ') || 'Browser'
}
