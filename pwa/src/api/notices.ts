import { call } from './client'
import type { SchemaChannelsRow } from './schema'

/** What the server sends over by itself, and the key that push subscriptions are made with. */
export async function readChannels(): Promise<SchemaChannelsRow> {
  const answer = await call<SchemaChannelsRow>('GET', '/api/v1/channels')
  if (!answer) throw new TypeError('the channels are never empty')
  return answer
}
