import { afterEach, expect, test, vi } from 'vitest'
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
  keepCsrf('token')
  await call('GET', '/x')
  await call('POST', '/x', { body: { a: 1 } })
  expect(asked.map((request) => request.headers.get('X-CSRF-Token'))).toEqual([null, 'token'])
  expect(asked.map((request) => request.cache)).toEqual(['no-store', 'no-store'])
  expect(await asked[1]?.json()).toEqual({ a: 1 })
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
