import { opened } from './opened'

let worker: Worker | null = null

/** Starts the worker that sends and fetches for the open shop; of several tabs only one does the work. */
export function startSyncing(): void {
  const shop = opened.peek()
  if (!shop || worker) {
    shop?.wake()
    return
  }
  worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module', name: 'sync' })
  worker.postMessage(shop.who)
}

export function stopSyncing(): void {
  worker?.terminate()
  worker = null
}

/** A screen that wakes up, or a line that comes back, is a reason to try at once. */
export function watchForSignal(): void {
  const wake = () => opened.peek()?.wake()
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') wake()
  })
  addEventListener('online', wake)
}
