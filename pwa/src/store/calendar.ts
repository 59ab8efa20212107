import { openFeed, readFeedAddress, readFeeds, revokeFeed } from '../api/calendar'
import { newId } from './browser/clock'

/** A feed of the member's runs for their calendar app. Not stored on the phone. */
export interface Calendar {
  id: string
  url: string
}

/** @throws NoSignal when the server did not answer; Problem when it refused */
export async function readCalendars(): Promise<Calendar[]> {
  const feeds = await readFeeds()
  return Promise.all(feeds.map(async ({ id }) => ({ id, url: await readFeedAddress(id) })))
}

/** @throws NoSignal when the server did not answer; Problem when it refused */
export const openCalendar = () => openFeed(newId())

/** @throws NoSignal when the server did not answer; Problem when it refused */
export const withdrawCalendar = (id: string) => revokeFeed(id, newId())
