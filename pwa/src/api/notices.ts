import { call } from './client'
import type { SchemaChannelsRow, SchemaPreview } from './schema'

/** The channels by which the server sends, and its key for push subscriptions. */
export async function readChannels(): Promise<SchemaChannelsRow> {
  const answer = await call<SchemaChannelsRow>('GET', '/api/v1/channels')
  if (!answer) throw new TypeError('the channels are never empty')
  return answer
}

/**
 * A full message with its secret link, to be sent by hand. Not stored.
 *
 * @throws NoSignal when the server did not answer; Problem when the link is dead
 */
export async function readNoticeText(id: string): Promise<SchemaPreview> {
  const answer = await call<SchemaPreview>('GET', `/api/v1/notices/${id}/text`)
  if (!answer) throw new TypeError('a message is never empty')
  return answer
}
