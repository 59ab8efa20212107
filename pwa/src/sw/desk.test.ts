import { afterEach, expect, test, vi } from 'vitest'
import { deskFile, dropFormerDesk, storeDesk, storeNextDesk } from './desk'

const ORIGIN = 'https://shop.example'

/** One cache by name, of paths and their text, as far as the desk uses the Cache API. */
class Caches {
  stored = new Map<string, Map<string, string>>()
  asked: string[] = []
  missing = new Set<string>()

  has = async (name: string) => this.stored.has(name)

  open = async (name: string) => {
    const files = this.stored.get(name) ?? new Map<string, string>()
    this.stored.set(name, files)
    return {
      match: async (path: string) => files.get(path),
      keys: async () => [...files.keys()].map((path) => new Request(ORIGIN + path)),
      delete: async ({ url }: Request) => files.delete(new URL(url).pathname),
      addAll: async (paths: string[]) => {
        this.asked.push(...paths)
        if (paths.some((path) => this.missing.has(path))) throw new TypeError('failed to fetch')
        for (const path of paths) files.set(path, 'stored')
      },
    }
  }

  match = async ({ url }: Request, { cacheName }: { cacheName: string }) => {
    const text = this.stored.get(cacheName)?.get(new URL(url).pathname)
    return text === undefined ? undefined : new Response(text)
  }
}

const storage = (caches: Caches) => caches as unknown as CacheStorage
const paths = (caches: Caches) => [...(caches.stored.get('desk')?.keys() ?? [])]

afterEach(() => vi.unstubAllGlobals())

test('the desk is stored once it is asked for, each file once', async () => {
  const caches = new Caches()
  await storeNextDesk(['/assets/desk-1.js'], storage(caches))
  expect(caches.stored.size).toBe(0)
  await storeDesk(['/assets/desk-1.js'], storage(caches))
  await storeDesk(['/assets/desk-1.js', '/assets/week-1.js'], storage(caches))
  expect(caches.asked).toEqual(['/assets/desk-1.js', '/assets/week-1.js'])
  expect(paths(caches)).toEqual(['/assets/desk-1.js', '/assets/week-1.js'])
})

test('a new version stores its desk ahead and drops that of the former', async () => {
  const caches = new Caches()
  await storeDesk(['/assets/desk-1.js', '/assets/week-1.js'], storage(caches))
  await storeNextDesk(['/assets/desk-2.js', '/assets/week-1.js'], storage(caches))
  expect(paths(caches)).toEqual(['/assets/desk-1.js', '/assets/week-1.js', '/assets/desk-2.js'])
  await dropFormerDesk(['/assets/desk-2.js', '/assets/week-1.js'], storage(caches))
  expect(paths(caches)).toEqual(['/assets/week-1.js', '/assets/desk-2.js'])
})

test('a desk that cannot be fetched whole keeps the new version from being installed', async () => {
  const caches = new Caches()
  await storeDesk(['/assets/desk-1.js'], storage(caches))
  caches.missing.add('/assets/desk-2.js')
  await expect(storeNextDesk(['/assets/desk-2.js'], storage(caches))).rejects.toThrow('failed to fetch')
})

test('a file comes from what is stored, else from the server', async () => {
  const caches = new Caches()
  vi.stubGlobal('fetch', async () => new Response('served'))
  const asked = new Request(`${ORIGIN}/assets/desk-1.js`)
  expect(await (await deskFile(asked, storage(caches))).text()).toBe('served')
  await storeDesk(['/assets/desk-1.js'], storage(caches))
  expect(await (await deskFile(asked, storage(caches))).text()).toBe('stored')
})
