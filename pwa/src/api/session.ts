import { call, keepCsrf } from './client'
import type { SchemaFirstShopRequest, SchemaSessionState as SessionAnswer } from './schema'

export type { SessionAnswer }
export type FirstShop = Required<SchemaFirstShopRequest>

export async function readSession(): Promise<SessionAnswer> {
  return kept(await call<SessionAnswer>('GET', '/api/v1/session'))
}

/** @throws Problem `wrong_credentials`, `second_factor_needed` (422) or `too_many_tries` (429) */
export async function openSession(email: string, password: string, code = ''): Promise<SessionAnswer> {
  await readSession()
  const body = { email, password, ...(code && { code }) }
  return kept(await call<SessionAnswer>('POST', '/api/v1/session', { body }))
}

export async function endSession(): Promise<void> {
  await readSession()
  await call('DELETE', '/api/v1/session')
  keepCsrf(null)
}

/** Opens the first shop of a server, and signs its owner in. */
export async function openFirstShop(shop: FirstShop): Promise<SessionAnswer> {
  await readSession()
  return kept(await call<SessionAnswer>('POST', '/api/v1/shops', { body: shop }))
}

export function kept(answer: SessionAnswer | null): SessionAnswer {
  if (answer === null) throw new TypeError('the session answer has a body')
  keepCsrf(answer.csrf)
  return answer
}
