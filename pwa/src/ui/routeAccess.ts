import { permissions, session } from '../store/session/session'
import type { Route, RouteName } from './router'
import { type Menu, ROUTES, type RouteRules } from './screens/routes'

const rulesFor = (at: Route['at']): RouteRules => (at === 'not-found' ? {} : (ROUTES[at][2] ?? {}))

/** Whether a screen is only for people who are not signed in. */
export const isSignedOutOnly = (at: Route['at']): boolean => rulesFor(at).permission === 'signed out'

/** Whether the member signed in on this phone may open a screen. */
export function canOpen(at: Route['at']): boolean {
  const { permission: may } = rulesFor(at)
  if (may === 'signed out') return session.value.state === 'signed_out'
  return !may || permissions.value.has(may)
}

/** The screen that the back link leads to, by the route table. */
export function parentRoute(at: Route['at']): Route | undefined {
  const { back, menu: bar } = rulesFor(at)
  return back || bar ? ({ at: back ?? bar } as Route) : undefined
}

/** The screens listed in a menu. */
export type MenuRouteName<Name extends Menu> = {
  [At in RouteName]: (typeof ROUTES)[At] extends readonly [unknown, unknown, { menu: Name }] ? At : never
}[RouteName]

/** Those of them that may be opened, in the order of the route table. */
export function menuRoutes<Name extends Menu>(bar: Name): MenuRouteName<Name>[] {
  return (Object.keys(ROUTES) as MenuRouteName<Name>[]).filter(
    (at) => rulesFor(at).menu === bar && canOpen(at),
  )
}
