import { NoSignal, Problem } from './problem'

const TIMEOUT_MS = 20_000

let csrf: string | null = null

/** Readings of both clocks of this device in ms: the wall clock and the monotonic one. */
export type Clocks = readonly [wall_ms: number, mono_ms: number]

export const readClocks = (): Clocks => [Date.now(), performance.now()]

/** Called with each answer, to measure the clocks: their readings at the request, and its `Server-Clock`. */
export const timing: { heard: (asked: Clocks, server_clock: string | null) => void } = { heard: () => {} }

/** The CSRF token from the session's answer, which every later write sends. */
export function keepCsrf(token: string | null): void {
  csrf = token
}

/** The token for a write. A page that was loaded at an address that writes at once asks for the session first. */
async function csrfToken(): Promise<string> {
  if (csrf === null) keepCsrf((await callOnce<{ csrf: string }>('GET', '/api/v1/session'))?.csrf ?? null)
  return csrf ?? ''
}

/** Asks the person for the password or a passkey again; whether it was given. Null where there is nobody to ask. */
export const proof: { ask: (() => Promise<boolean>) | null } = { ask: null }

/** Sends it; where the server wants to know first who is there, asks the person and sends it again. */
async function withProof<Answer>(send: () => Promise<Answer>): Promise<Answer> {
  try {
    return await send()
  } catch (error) {
    if (!(error instanceof Problem && error.code === 'proof_needed' && (await proof.ask?.()))) throw error
    return send()
  }
}

/**
 * Calls the server and decodes its answer; `null` for an answer without a body (204, 304).
 *
 * @throws NoSignal when the server did not answer; Problem when it refused
 */
export const call = <Answer>(...given: Parameters<typeof callOnce>): Promise<Answer | null> =>
  withProof(() => callOnce<Answer>(...given))

async function callOnce<Answer>(
  method: 'GET' | 'POST' | 'DELETE',
  path: string,
  { body, timeout_ms = TIMEOUT_MS }: { body?: unknown; timeout_ms?: number } = {},
): Promise<Answer | null> {
  const headers: Record<string, string> = { Accept: 'application/json' }
  if (body !== undefined) headers['Content-Type'] = 'application/json'
  if (method !== 'GET') headers['X-CSRF-Token'] = await csrfToken()
  const response = await reach(path, {
    method,
    headers,
    cache: 'no-store',
    credentials: 'same-origin',
    redirect: 'error',
    signal: AbortSignal.timeout(timeout_ms),
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  })
  if (response.status === 204 || response.status === 304) return null
  const answer = await decode(response)
  if (response.ok) return answer as Answer
  throw new Problem(response.status, answer, waitAsked(response))
}

/**
 * Calls the server for other content than JSON: bytes up or down, and headers.
 *
 * @throws NoSignal when the server did not answer; Problem when it refused
 */
export const exchange = (...given: Parameters<typeof exchangeOnce>): Promise<Response> =>
  withProof(() => exchangeOnce(...given))

async function exchangeOnce(
  method: 'GET' | 'HEAD' | 'POST' | 'PATCH',
  path: string,
  { headers = {}, body, timeout_ms = TIMEOUT_MS }: Exchanged = {},
): Promise<Response> {
  const reads = method === 'GET' || method === 'HEAD'
  const response = await reach(path, {
    method,
    headers: { ...headers, ...(reads ? {} : { 'X-CSRF-Token': await csrfToken() }) },
    cache: 'no-store',
    credentials: 'same-origin',
    redirect: 'error',
    signal: AbortSignal.timeout(timeout_ms),
    ...(body && { body }),
  })
  if (response.ok) return response
  // An answer to HEAD has no body that could say more.
  throw new Problem(response.status, method === 'HEAD' ? {} : await decode(response), waitAsked(response))
}

interface Exchanged {
  headers?: Record<string, string>
  body?: Uint8Array<ArrayBuffer>
  timeout_ms?: number
}

async function reach(path: string, request: RequestInit): Promise<Response> {
  const asked = readClocks()
  try {
    const response = await fetch(path, request)
    timing.heard(asked, response.headers.get('Server-Clock'))
    return response
  } catch (error) {
    throw new NoSignal(String(error))
  }
}

/** Only JSON comes from the server: a hotspot's page is HTML with status 200, a gateway's has 502. */
async function decode(response: Response): Promise<Record<string, unknown>> {
  const type = response.headers.get('Content-Type') ?? ''
  if (!/^application\/([\w.-]+\+)?json\b/.test(type)) throw new NoSignal(`answered with ${type || 'nothing'}`)
  try {
    return (await response.json()) as Record<string, unknown>
  } catch (error) {
    throw new NoSignal(String(error))
  }
}

function waitAsked(response: Response): number | null {
  const seconds = Number.parseInt(response.headers.get('Retry-After') ?? '', 10)
  return Number.isFinite(seconds) && seconds >= 0 ? seconds : null
}
