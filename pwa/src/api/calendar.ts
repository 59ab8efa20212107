import { call } from './client'
import { post } from './post'
import type { SchemaCalendarAddress, SchemaCalendarFeedRow, SchemaCalendarFeedRowPage } from './schema'

const FEEDS = '/api/v1/calendar-feeds'

/** The member's calendar feeds that were not withdrawn. @throws NoSignal, Problem */
export async function readFeeds(): Promise<SchemaCalendarFeedRow[]> {
  const page = await call<SchemaCalendarFeedRowPage>('GET', FEEDS)
  return (page?.rows ?? []).filter(({ revoked_at }) => revoked_at === null)
}

/** The secret address of the member's feed. @throws NoSignal, Problem */
export async function readFeedAddress(id: string): Promise<string> {
  const answer = await call<SchemaCalendarAddress>('GET', `${FEEDS}/${id}/address`)
  return answer?.url ?? ''
}

/** Creates a feed under an id made here. @throws NoSignal, Problem */
export const openFeed = (id: string) => post(FEEDS, id, { id })

/** Withdraws a feed: its address stops working. @throws NoSignal, Problem */
export const revokeFeed = (id: string, key: string) => post(`${FEEDS}/${id}/revoke`, key, { id })
