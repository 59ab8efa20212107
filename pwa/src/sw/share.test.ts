import { expect, test, vi } from 'vitest'
import { SHARED } from '../domain/shared'
import { keepShared } from './share'

type Put = (key: string, response: Response) => Promise<void>

/** A cache that keeps what is put into it, or fails as a full phone does. */
function fakeCaches(put?: Put) {
  const kept = new Map<string, Response>()
  const cache = { put: put ?? (async (key: string, response: Response) => void kept.set(key, response)) }
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
  expect(second?.headers.get('Content-Type')).toMatch(/^image\/heic|application\/octet-stream$/u)
  expect(await text?.text()).toBe('Deck\nBent spindle')
})

test('what is no picture is left out, and said', async () => {
  const { kept, open } = fakeCaches()
  const form = { pictures: [photo('bill.pdf', 'application/pdf'), photo('a.jpg')] }
  expect(leadsTo(await keepShared(post(form), { open }))).toEqual([303, '/share?because=no_picture'])
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
