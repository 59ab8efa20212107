/** The files of the desk, for devices that have opened it: a phone never asks for them. */
const NAME = 'desk'

/** Stores those that are not stored yet. Rejects when one cannot be fetched: a desk is whole or not there. */
export async function storeDesk(files: readonly string[], caches: CacheStorage): Promise<void> {
  const cache = await caches.open(NAME)
  const stored = await Promise.all(files.map((file) => cache.match(file)))
  await cache.addAll(files.filter((_, index) => !stored[index]))
}

/** Stores the desk of a new version ahead of its first use, where an earlier version has stored its own. */
export async function storeNextDesk(files: readonly string[], caches: CacheStorage): Promise<void> {
  if (await caches.has(NAME)) await storeDesk(files, caches)
}

/** Deletes the files of former versions. */
export async function dropFormerDesk(files: readonly string[], caches: CacheStorage): Promise<void> {
  if (!(await caches.has(NAME))) return
  const cache = await caches.open(NAME)
  const former = (await cache.keys()).filter(({ url }) => !files.includes(new URL(url).pathname))
  await Promise.all(former.map((request) => cache.delete(request)))
}

/** The stored file, or what the server answers. */
export async function deskFile(request: Request, caches: CacheStorage): Promise<Response> {
  return (await caches.match(request, { cacheName: NAME })) ?? fetch(request)
}
