/**
 * Caches the app so that it starts without a signal. It answers for the page and the app's files only: requests to the
 * server bypass it, because a worker that waits on a dead connection delays later requests too.
 */
import { cleanupOutdatedCaches, createHandlerBoundToURL, precacheAndRoute } from 'workbox-precaching'
import { NavigationRoute, registerRoute } from 'workbox-routing'
import { SHARED } from '../domain/shared'
import { deskFile, dropFormerDesk, storeDesk, storeNextDesk } from './desk'
import { keepShared } from './share'

declare const self: ServiceWorkerGlobalScope
declare const __SHELL__: { url: string; revision: string | null }[]
declare const __DESK__: string[]

// A browser that reads codes by itself does not need our reader, the largest file.
const reads_codes = 'BarcodeDetector' in self
precacheAndRoute(__SHELL__.filter(({ url }) => !(reads_codes && url.endsWith('.wasm'))))
cleanupOutdatedCaches()
registerRoute(
  new NavigationRoute(createHandlerBoundToURL('/'), {
    denylist: [
      /^\/(api|ask|join|ticket|bill|calendar|admin|static|assets)(\/|$)/,
      /^\/(livez|readyz|workz|metrics)$/,
    ],
  }),
)

registerRoute(
  ({ url, sameOrigin }) => sameOrigin && url.pathname === SHARED.path,
  ({ request }) => keepShared(request, caches),
  'POST',
)

registerRoute(
  ({ url, sameOrigin }) => sameOrigin && __DESK__.includes(url.pathname),
  ({ request }) => deskFile(request, caches),
)
self.addEventListener('install', (event) => event.waitUntil(storeNextDesk(__DESK__, caches)))
self.addEventListener('activate', (event) => event.waitUntil(dropFormerDesk(__DESK__, caches)))

/** Part of the event that TypeScript lacks (Service Workers, W3C editor's draft: static routing). */
interface RoutingEvent extends ExtendableEvent {
  addRoutes?(rule: { condition: { urlPattern: string }; source: 'network' }): Promise<void>
}

/** Static routes, where supported, spare waking the worker for requests that bypass it. */
self.addEventListener('install', (event: RoutingEvent) => {
  const routed = event.addRoutes?.({ condition: { urlPattern: '/api/*' }, source: 'network' })
  // Without them the worker gives the same answers.
  if (routed) event.waitUntil(routed.catch(() => undefined))
})

/** A push message as `notices` makes it: shown, and opened at its subject. */
self.addEventListener('push', (event) => {
  const message = event.data?.json() as Record<'title' | 'body' | 'tag' | 'about_kind' | 'about_id', string>
  const places: Record<string, string> = { time_entry: '/my-time', quote: `/quotes/${message.about_id}` }
  const data = places[message.about_kind] ?? '/'
  event.waitUntil(
    self.registration.showNotification(message.title, {
      body: message.body,
      tag: message.tag,
      icon: '/icon.svg',
      data,
    }),
  )
})

self.addEventListener('notificationclick', (event) => {
  event.notification.close()
  event.waitUntil(self.clients.openWindow(String(event.notification.data)))
})

/** A new version takes over only when the page says that nothing would be lost; the desk is stored when it is opened. */
self.addEventListener('message', (event) => {
  if (event.data === 'take-over') void self.skipWaiting()
  // Without a signal it is asked for again when the desk is opened next.
  if (event.data === 'store-desk') event.waitUntil(storeDesk(__DESK__, caches).catch(() => undefined))
})
