import { shopSession } from '../../../store/session/shopSession'

const MOST = 6

let searches: { shop: unknown; texts: readonly string[] } = { shop: null, texts: [] }

/** The last searches, newest first. They last as long as the page and are neither sent nor shown to the next member. */
export const lastSearches = (): readonly string[] =>
  searches.shop === shopSession.peek() ? searches.texts : []

/** Puts a text first among the last searches. */
export function rememberSearch(text: string): void {
  const before = lastSearches().filter((each) => each !== text)
  searches = { shop: shopSession.peek(), texts: [text, ...before].slice(0, MOST) }
}
