/**
 * Keeps the app itself on the phone so that it starts without a signal. It answers for the page and its
 * own files only: a request to the server never passes through here, because a worker that waits on a
 * dead line keeps later requests waiting too.
 */
import { cleanupOutdatedCaches, createHandlerBoundToURL, precacheAndRoute } from 'workbox-precaching'
import { NavigationRoute, registerRoute } from 'workbox-routing'

declare const self: ServiceWorkerGlobalScope
declare const __SHELL__: { url: string; revision: string | null }[]

precacheAndRoute(__SHELL__)
cleanupOutdatedCaches()
registerRoute(
  new NavigationRoute(createHandlerBoundToURL('/'), {
    denylist: [/^\/(api|ask|admin|static|assets)(\/|$)/, /^\/(livez|readyz)$/],
  }),
)

/** A new version waits until the page says that nobody loses anything by it. */
self.addEventListener('message', (event) => {
  if (event.data === 'take-over') void self.skipWaiting()
})
