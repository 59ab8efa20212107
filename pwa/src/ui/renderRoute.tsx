import type { ComponentType, FunctionComponent, JSX } from 'preact'
import { LoadingPage } from './LoadingPage'
import { lazy } from './lazy'
import { NotAllHere } from './NotAllHere'
import { NotFound } from './NotFound'
import { canOpen } from './routeAccess'
import type { Route, RouteName, RouteParams } from './router'
import { isPartial } from './StillComing'
import { ROUTES, type RouteRules } from './screens/routes'
import { SignIn } from './screens/session/SignIn'
import { Today } from './screens/today/Today'
import { isWide } from './wide'

/** A screen takes the parameters of its address as props. */
type Screens = { readonly [At in RouteName]: ComponentType<RouteParams<At>> }
type StartRouteName = {
  [At in RouteName]: (typeof ROUTES)[At][1] extends 'at start' ? At : never
}[RouteName]

const START_SCREENS: Pick<Screens, StartRouteName> = { today: Today, 'sign-in': SignIn }

/** A screen whose address has no required parameters. */
type RouteWithoutParams = { [At in RouteName]: object extends RouteParams<At> ? At : never }[RouteName]

/** Fails to compile where a screen has a prop that its address lacks, or `back` names a screen that needs parameters. */
const CHECKED_ROUTES: {
  readonly [At in RouteName]: readonly [
    path: string,
    load: 'at start' | (() => Promise<Screens[At]>),
    rules?: RouteRules & { back?: RouteWithoutParams },
  ]
} = ROUTES

const SCREENS = Object.fromEntries(
  Object.entries(CHECKED_ROUTES).map(([at, [, load, rules]]) => [
    at,
    load === 'at start'
      ? START_SCREENS[at as StartRouteName]
      : lazy(load as () => Promise<ComponentType<object>>, {
          ahead: rules?.desk && isWide,
          Instead: LoadingPage,
        }),
  ]),
) as Record<RouteName, FunctionComponent<object>>

/** The screen of a route; "not found" where the member may not open it. */
export function renderRoute(route: Route): JSX.Element {
  if (route.at === 'not-found' || !canOpen(route.at)) return <NotFound />
  const rules: RouteRules | undefined = CHECKED_ROUTES[route.at][2]
  if (rules?.whole && isPartial()) return <NotAllHere />
  const shown = ((!isWide.value && rules?.narrow) || route) as Exclude<Route, { at: 'not-found' }>
  const Screen = SCREENS[shown.at]
  return <Screen {...shown} />
}
