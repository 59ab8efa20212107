import { permissions, session } from '../store/session/session'
import type { Route, RouteName } from './router'
import { type Menu, ROUTES, type RouteRules } from './screens/routes'

const rulesFor = (at: Route['at']): RouteRules => (at === 'not-found' ? {} : (ROUTES[at][2] ?? {}))

/** Whether a screen may be opened while nobody is signed in. */
export const opensSignedOut = (at: Route['at']): boolean =>
  ['signed out', 'anybody'].includes(rulesFor(at).permission ?? '')

/** Whether the member signed in on this phone may open a screen. */
export function canOpen(at: Route['at']): boolean {
  const { permission: may } = rulesFor(at)
  if (may === 'signed out') return session.value.state === 'signed_out'
  return !may || may === 'anybody' || permissions.value.has(may)
}

/** The screen that the back link leads to, by the route table. */
export function parentRoute(at: Route['at']): Route | undefined {
  const { back, menu } = rulesFor(at)
  const parent = back ?? (menu === 'bar' ? undefined : menu)
  return parent ? ({ at: parent } as Route) : undefined
}

/** The place in the bar that a screen belongs to, by its back links. */
export function placeOf(at: Route['at']): MenuRouteName<'bar'> | undefined {
  if (rulesFor(at).menu === 'bar') return at as MenuRouteName<'bar'>
  const parent = parentRoute(at)
  return parent && placeOf(parent.at)
}

/** The screens listed in a menu. */
export type MenuRouteName<Name extends Menu> = {
  [At in RouteName]: (typeof ROUTES)[At] extends readonly [unknown, unknown, { menu: Name }] ? At : never
}[RouteName]

/** Those of them that may be opened, in the order of the route table. */
export function menuRoutes<Name extends Menu>(menu: Name): MenuRouteName<Name>[] {
  return (Object.keys(ROUTES) as MenuRouteName<Name>[]).filter(
    (at) => rulesFor(at).menu === menu && canOpen(at),
  )
}
