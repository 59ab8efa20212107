import { exchange } from './client'

/** Writes once under an idempotency key, however often it is sent. @throws NoSignal, Problem */
export async function post(path: string, key: string, body: object): Promise<void> {
  const headers = { 'Content-Type': 'application/json', 'Idempotency-Key': key, Accept: 'application/json' }
  await exchange('POST', path, { headers, body: new TextEncoder().encode(JSON.stringify(body)) })
}
