/**
 * Keeps the app itself on the phone so that it starts without a signal. It answers for the page and its
 * own files only: a request to the server never passes through here, because a worker that waits on a
 * dead line keeps later requests waiting too.
 */
import { cleanupOutdatedCaches, createHandlerBoundToURL, precacheAndRoute } from 'workbox-precaching'
import { NavigationRoute, registerRoute } from 'workbox-routing'

declare const self: ServiceWorkerGlobalScope
declare const __SHELL__: { url: string; revision: string | null }[]

// A browser that reads codes by itself needs no reader of ours, the largest file of all.
const reads_codes = 'BarcodeDetector' in self
precacheAndRoute(__SHELL__.filter(({ url }) => !(reads_codes && url.endsWith('.wasm'))))
cleanupOutdatedCaches()
registerRoute(
  new NavigationRoute(createHandlerBoundToURL('/'), {
    denylist: [/^\/(api|ask|join|admin|static|assets)(\/|$)/, /^\/(livez|readyz|workz)$/],
  }),
)

/** What TypeScript does not know yet of the event (Service Workers, W3C editor's draft: static routing). */
interface RoutingEvent extends ExtendableEvent {
  addRoutes?(rule: { condition: { urlPattern: string }; source: 'network' }): Promise<void>
}

/** A browser that can does not even wake the worker for what it lets through. */
self.addEventListener('install', (event: RoutingEvent) => {
  const routed = event.addRoutes?.({ condition: { urlPattern: '/api/*' }, source: 'network' })
  // The same answers come without it.
  if (routed) event.waitUntil(routed.catch(() => undefined))
})

/** A message from the server, as `notices` makes it: shown, and opened at what it is about. */
self.addEventListener('push', (event) => {
  const told = event.data?.json() as Record<'title' | 'body' | 'tag' | 'about_kind' | 'about_id', string>
  const places: Record<string, string> = { time_entry: '/my-time', quote: `/quotes/${told.about_id}` }
  const data = places[told.about_kind] ?? '/'
  event.waitUntil(
    self.registration.showNotification(told.title, {
      body: told.body,
      tag: told.tag,
      icon: '/icon.svg',
      data,
    }),
  )
})

self.addEventListener('notificationclick', (event) => {
  event.notification.close()
  event.waitUntil(self.clients.openWindow(String(event.notification.data)))
})

/** A new version waits until the page says that nobody loses anything by it. */
self.addEventListener('message', (event) => {
  if (event.data === 'take-over') void self.skipWaiting()
})
