import { createContext } from 'preact'
import type { Route } from './router'

/** Where a page is shown at the desk. */
export interface Pane {
  /** The list of the place at the left, or the open item at the right. */
  side: 'list' | 'item'
  /** Whether it names the document and shows the toast: the open item, or the list while nothing is open. */
  leads: boolean
  /** The place at the left, which closing the open item goes back to. */
  place: Route
}

/** The pane around a page; null on the phone, where a page has the whole screen. */
export const PaneContext = createContext<Pane | null>(null)
