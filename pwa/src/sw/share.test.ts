import { expect, test, vi } from 'vitest'
import { PICTURE } from '../domain/contract'
import { SHARED } from '../domain/shared'
import { keepShared } from './share'

type Put = (key: string, response: Response) => Promise<void>

/** A cache that keeps what is put into it, or fails as a full phone does. */
function fakeCaches(put?: Put) {
  const kept = new Map<string, Response>()
  const cache = {
    keys: async () => [...kept.keys()],
    put: put ?? (async (key: string, response: Response) => void kept.set(key, response)),
  }
  const open = vi.fn(async () => cache as unknown as Cache)
  return { kept, open }
}

function post(parts: Record<string, string | readonly File[]>): Request {
  const body = new FormData()
  for (const [name, values] of Object.entries(parts))
    for (const value of typeof values === 'string' ? [values] : values) body.append(name, value as string)
  return new Request('https://shop.example/share', { method: 'POST', body })
}

const photo = (name: string, type = 'image/jpeg') => new File(['bytes of it'], name, { type })
const leadsTo = (answer: Response) => [answer.status, answer.headers.get('Location')]

test('pictures and text are kept, in order, and the screen that asks for a place is opened', async () => {
  const { kept, open } = fakeCaches()
  const form = {
    pictures: [photo('a b.jpg'), photo('c.heic', '')],
    title: 'Deck',
    text: 'Bent spindle',
    url: '',
  }
  expect(leadsTo(await keepShared(post(form), { open }))).toEqual([303, '/share'])
  expect(open).toHaveBeenCalledWith(SHARED.cache)
  expect(new Set([...kept.keys()].map((key) => key.slice(0, 7)))).toEqual(new Set(['/share/']))
  const [first, second, text] = [...kept.values()]
  expect(await first?.text()).toBe('bytes of it')
  expect(first?.headers.get('Content-Type')).toBe('image/jpeg')
  expect(decodeURIComponent(first?.headers.get(SHARED.name) ?? '')).toBe('a b.jpg')
  expect(Number(first?.headers.get(SHARED.at))).toBeGreaterThan(Date.now() - 60_000)
  expect(second?.headers.get('Content-Type')).toBe('image/heic')
  expect(await text?.text()).toBe('Deck\nBent spindle')
})

test('what is no picture is left out, and said', async () => {
  const { kept, open } = fakeCaches()
  const form = { pictures: [photo('bill.pdf', 'application/pdf'), photo('a.jpg')] }
  expect(leadsTo(await keepShared(post(form), { open }))).toEqual([303, '/share?because=no_picture'])
  expect(kept.size).toBe(1)
})

test.each([
  ['a.svg', 'image/svg+xml'],
  ['a.heic', 'image/svg+xml'],
  ['a.tif', 'image/tiff'],
  ['a.jpg', 'text/html'],
  ['a.txt', 'text/plain'],
  ['a.jpg', ''],
])('%s of type “%s” is no photo', async (name, type) => {
  const { kept, open } = fakeCaches()
  const answer = await keepShared(post({ pictures: [photo(name, type)] }), { open })
  expect(leadsTo(answer)).toEqual([303, '/share?because=no_picture'])
  expect(kept.size).toBe(0)
})

test.each(['jpeg', 'png', 'webp', 'gif', 'avif', 'heic', 'heif'])('image/%s is a photo', async (type) => {
  const { kept, open } = fakeCaches()
  await keepShared(post({ pictures: [photo('a', `image/${type}`)] }), { open })
  expect([...kept.values()].map(({ headers }) => headers.get('Content-Type'))).toEqual([`image/${type}`])
})

test('what is too many is refused, and what waits already stays', async () => {
  const { kept, open } = fakeCaches()
  const many = (count: number, from: string) => ({
    pictures: Array.from({ length: count }, (_, at) => photo(`${from}${at}.jpg`)),
    text: from,
  })
  expect(leadsTo(await keepShared(post(many(18, 'old')), { open }))).toEqual([303, '/share'])
  const before = [...kept.keys()]
  for (let at = 0; at < 2; at += 1)
    expect(leadsTo(await keepShared(post(many(2, 'new')), { open }))).toEqual([
      303,
      '/share?because=too_many',
    ])
  expect([...kept.keys()].slice(0, 19)).toEqual(before)
  expect(kept.size).toBe(SHARED.most)
  expect([...kept.values()].at(-1)?.headers.get(SHARED.name)).toBe('new0.jpg')
})

test('a photo larger than one that is taken is left out, the others are kept', async () => {
  const { kept, open } = fakeCaches()
  const large = new File([new Uint8Array(PICTURE.most_bytes + 1)], 'large.jpg', { type: 'image/jpeg' })
  const answer = await keepShared(post({ pictures: [large, photo('a.jpg')] }), { open })
  expect(leadsTo(answer)).toEqual([303, '/share?because=too_large'])
  expect([...kept.values()].map(({ headers }) => headers.get(SHARED.name))).toEqual(['a.jpg'])
})

/** A request as the browser gives it to the worker: pages cannot set these. */
const sent = (from: Partial<Pick<Request, 'referrer' | 'referrerPolicy'>>, site?: string) => {
  const request = post({ text: 'Bent spindle' })
  if (site) Object.defineProperty(request, 'headers', { value: withSite(request.headers, site) })
  for (const [key, value] of Object.entries(from)) Object.defineProperty(request, key, { value })
  return request
}
const withSite = (headers: Headers, site: string) => new Headers([...headers, ['Sec-Fetch-Site', site]])

test.each([
  ['a page of another origin', sent({ referrer: 'https://evil.example/' })],
  ['an address that begins alike', sent({ referrer: 'https://shop.example.evil.example/' })],
  ['another port', sent({ referrer: 'https://shop.example:8443/' })],
  ['a page that hides its address', sent({ referrer: '', referrerPolicy: 'no-referrer' })],
  ['a page that hides it from others', sent({ referrer: '', referrerPolicy: 'same-origin' })],
  ['another site, by header', sent({}, 'cross-site')],
  ['another origin of the site, by header', sent({}, 'same-site')],
])('a form of %s is refused', async (_, request) => {
  const { open } = fakeCaches()
  expect(leadsTo(await keepShared(request, { open }))).toEqual([303, '/share?because=website'])
  expect(open).not.toHaveBeenCalled()
})

test.each([
  ['the system', sent({ referrer: '', referrerPolicy: 'strict-origin-when-cross-origin' })],
  ['the system, its policy unknown', sent({ referrer: '', referrerPolicy: '' })],
  ['an app', sent({ referrer: 'android-app://photos.example/', referrerPolicy: 'unsafe-url' })],
  ['the system, by header', sent({ referrer: '' }, 'none')],
  [
    'our own page',
    sent({ referrer: 'https://shop.example/jobs', referrerPolicy: 'same-origin' }, 'same-origin'),
  ],
])('a share of %s is kept', async (_, request) => {
  const { kept, open } = fakeCaches()
  expect(leadsTo(await keepShared(request, { open }))).toEqual([303, '/share'])
  expect(kept.size).toBe(1)
})

test('a text is kept once, and not without end', async () => {
  const { kept, open } = fakeCaches()
  await keepShared(post({ title: 'x'.repeat(3000), text: 'x'.repeat(3000) }), { open })
  expect(await [...kept.values()][0]?.text()).toBe('x'.repeat(SHARED.longest_text))
})

test.each([
  ['no_room', new DOMException('full', 'QuotaExceededError')],
  ['not_saved', new TypeError('away')],
])('a phone that cannot keep it says why: %s', async (because, error) => {
  const { open } = fakeCaches(() => Promise.reject(error))
  const answer = await keepShared(post({ pictures: [photo('a.jpg')] }), { open })
  expect(leadsTo(answer)).toEqual([303, `/share?because=${because}`])
})

test('a post that is no form is refused', async () => {
  const { open } = fakeCaches()
  const request = new Request('https://shop.example/share', { method: 'POST', body: 'nothing' })
  expect(leadsTo(await keepShared(request, { open }))).toEqual([303, '/share?because=not_saved'])
})
