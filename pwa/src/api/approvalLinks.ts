import { call } from './client'
import type { SchemaLinkAddress } from './schema'

/**
 * The whole address at which a customer answers.
 *
 * @throws NoSignal when the server did not answer; Problem when it refused
 */
export async function readLinkAddress(id: string): Promise<string> {
  const answer = await call<SchemaLinkAddress>('GET', `/api/v1/approval-links/${id}/address`)
  return answer?.url ?? ''
}
