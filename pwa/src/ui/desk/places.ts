/**
 * The places of the desk, in the order of its tabs; their addresses and permissions are those of `screens/routes.ts`.
 *
 * `list` is what is shown at the left; without one it is the screen of the place itself. A `whole` place has the whole
 * width while nothing is open, the others keep room for the open item. A place `under` another has no tab of its own; the
 * tab of a place `opens` such a one to whom may see it. To which place a screen belongs follows from its
 * address (`/quotes/…` to `/quotes`), else from its back links.
 */
import type { FunctionComponent } from 'preact'
import { lazy } from '../lazy'
import { canOpen, parentRoute } from '../routeAccess'
import { buildPath, type Route, type RouteName } from '../router'
import { ROUTES } from '../screens/routes'
import { isWide } from '../wide'
import { DeskToday } from './DeskToday'

interface DeskPlace {
  readonly list?: FunctionComponent<object>
  readonly whole?: true
  readonly under?: RouteName
  readonly opens?: RouteName
}

const PLACES = {
  today: { list: DeskToday },
  jobs: { list: lazy(async () => (await import('./JobsTable')).JobsTable, { ahead: isWide }) },
  quotes: {},
  road: { opens: 'board' },
  board: { whole: true, under: 'road' },
  customers: {},
  machines: {},
  stops: {},
  money: {},
  payments: { under: 'money' },
  ageing: { whole: true, under: 'money' },
  'services-due': { under: 'machines' },
  'lead-times': { under: 'orders' },
  orders: {
    list: lazy(async () => (await import('../screens/lists/Orders')).OrdersTable, { ahead: isWide }),
  },
  hours: { whole: true, opens: 'week' },
  week: { whole: true, under: 'hours' },
  catalog: { under: 'more' },
  more: {},
} as const satisfies { readonly [At in RouteName]?: DeskPlace }

export type DeskPlaceName = keyof typeof PLACES

const NAMES = Object.keys(PLACES) as DeskPlaceName[]

export const isDeskPlace = (at: Route['at']): at is DeskPlaceName => at in PLACES

export const deskPlace = (at: DeskPlaceName): DeskPlace => PLACES[at]

/** The places that the member may open. */
export const openPlaces = (): DeskPlaceName[] => NAMES.filter(canOpen)

/** Those with a tab, in its order. */
export const deskPlaces = (): DeskPlaceName[] => openPlaces().filter((at) => !deskPlace(at).under)

/** The tab of a place. */
export const tabOf = (at: DeskPlaceName): RouteName => deskPlace(at).under ?? at

/** Where the tab of a place leads. */
export function tabPath(at: DeskPlaceName): string {
  const { opens } = deskPlace(at)
  return buildPath({ at: opens && canOpen(opens) ? opens : at } as Route)
}

/** The place that a screen belongs to, when nothing else is at the left. */
export function deskPlaceOf(route: Route): DeskPlaceName {
  if (isDeskPlace(route.at)) return route.at
  const [, first] = buildPath(route).split('/')
  const byAddress = NAMES.find((at) => ROUTES[at][0].split('?')[0] === `/${first}`)
  const parent = parentRoute(route.at)
  return byAddress ?? (parent ? deskPlaceOf(parent) : 'today')
}
