import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { call, exchange, keepCsrf, proof } from './client'
import { NoSignal, Problem } from './problem'

const asked: Request[] = []

/** A fake `fetch` that answers every request with this. */
function answers(make: (request: Request) => Response | Promise<Response>): void {
  vi.stubGlobal('fetch', (path: string, init: RequestInit) => {
    const request = new Request(`https://shop.example${path}`, init)
    asked.push(request)
    return Promise.resolve(make(request))
  })
}

beforeEach(() => keepCsrf('token'))

afterEach(() => {
  vi.unstubAllGlobals()
  keepCsrf(null)
  proof.ask = null
  asked.length = 0
})

const json = (body: unknown, init?: ResponseInit) =>
  new Response(JSON.stringify(body), {
    ...init,
    headers: { 'Content-Type': 'application/json', ...init?.headers },
  })

test('decodes an answer, and has null for one without a body', async () => {
  answers(() => json({ total_minor: 1234 }))
  expect(await call('GET', '/x')).toEqual({ total_minor: 1234 })
  answers(() => new Response(null, { status: 304 }))
  expect(await call('GET', '/x')).toBeNull()
})

test('sends the token on writes only, and keeps every answer out of the cache', async () => {
  answers(() => json({}))
  await call('GET', '/x')
  await call('POST', '/x', { body: { a: 1 } })
  expect(asked.map((request) => request.headers.get('X-CSRF-Token'))).toEqual([null, 'token'])
  expect(asked.map((request) => request.cache)).toEqual(['no-store', 'no-store'])
  expect(await asked[1]?.json()).toEqual({ a: 1 })
})

test('a page that was loaded at an address that writes at once reads its token before the first write', async () => {
  for (const write of [() => call('POST', '/x', { body: {} }), () => exchange('PATCH', '/x')]) {
    keepCsrf(null)
    asked.length = 0
    answers(({ url }) => json(url.endsWith('/api/v1/session') ? { csrf: 'fresh' } : {}))
    await write()
    await write()
    expect(asked.map(({ url, headers }) => [new URL(url).pathname, headers.get('X-CSRF-Token')])).toEqual([
      ['/api/v1/session', null],
      ['/x', 'fresh'],
      ['/x', 'fresh'],
    ])
  }
})

test('without a signal for its token a write is not sent', async () => {
  keepCsrf(null)
  answers(() => Promise.reject(new TypeError('failed to fetch')))
  await expect(call('POST', '/x', { body: {} })).rejects.toThrow(NoSignal)
  expect(asked.map(({ method }) => method)).toEqual(['GET'])
})

test.each([
  ['a sign-in page of a hotspot', () => new Response('<html>', { headers: { 'Content-Type': 'text/html' } })],
  [
    'a page of a gateway',
    () => new Response('<html>', { status: 502, headers: { 'Content-Type': 'text/html' } }),
  ],
  ['half an answer', () => new Response('{"a": ', { headers: { 'Content-Type': 'application/json' } })],
  ['nothing at all', () => Promise.reject(new TypeError('failed to fetch'))],
])('%s is no signal', async (_, answer) => {
  answers(answer)
  await expect(call('GET', '/x')).rejects.toThrow(NoSignal)
})

test('a refusal carries its code, message, fields and how long to wait', async () => {
  const body = {
    type: 'urn:drawbar:gap',
    title: 'Gap',
    status: 409,
    detail: 'Command 4 comes before this one.',
    code: 'gap',
    fields: [{ field: 'name', code: 'missing', words: 'This is required.' }],
    expect: 4,
  }
  answers(() =>
    json(body, { status: 409, headers: { 'Content-Type': 'application/problem+json', 'Retry-After': '5' } }),
  )
  const problem = await call('POST', '/x', { body: {} }).catch((error: unknown) => error)
  expect(problem).toBeInstanceOf(Problem)
  expect(problem).toMatchObject({
    status: 409,
    code: 'gap',
    message: 'Command 4 comes before this one.',
    fields: body.fields,
    expect: 4,
    retry_after_s: 5,
  })
})

test('a request without an answer times out', async () => {
  answers(
    (request) =>
      new Promise((_, reject) => {
        request.signal.addEventListener('abort', () => reject(request.signal.reason))
      }),
  )
  await expect(call('GET', '/x', { timeout_ms: 20 })).rejects.toThrow(NoSignal)
})

/** Answers with the question who is there until it was answered. */
function asksWho(): { given: boolean } {
  const state = { given: false }
  answers(() =>
    state.given ? json({ done: true }) : json({ code: 'proof_needed', detail: 'Again?' }, { status: 403 }),
  )
  return state
}

test('what needs a proof of who is there is sent again once the person has given it', async () => {
  for (const send of [() => call('POST', '/x', { body: { a: 1 } }), () => exchange('POST', '/x')]) {
    asked.length = 0
    const state = asksWho()
    proof.ask = async () => {
      state.given = true
      return true
    }
    await send()
    expect(asked).toHaveLength(2)
  }
})

test('a proof that is declined, or that nobody can be asked for, leaves the refusal', async () => {
  asksWho()
  await expect(call('POST', '/x')).rejects.toMatchObject({ code: 'proof_needed', message: 'Again?' })
  proof.ask = async () => false
  await expect(call('POST', '/x')).rejects.toMatchObject({ code: 'proof_needed' })
  // Even one that was given is not asked for twice.
  proof.ask = async () => true
  await expect(call('POST', '/x')).rejects.toMatchObject({ code: 'proof_needed' })
  expect(asked).toHaveLength(4)
})
