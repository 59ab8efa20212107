import { signal } from '@preact/signals'
import { ROUTES } from './screens/routes'

/** The name of a screen that has an address. */
export type RouteName = keyof typeof ROUTES

/** The parameters in the address of a screen: `/jobs/:id` has an `id`. */
export type RouteParams<At extends RouteName> = ParamsOf<(typeof ROUTES)[At][0]>

type ParamsOf<Path extends string> = Flatten<
  Path extends `${infer Parts}?${infer Query}`
    ? PathParams<Parts> & Partial<QueryParams<Query>>
    : PathParams<Path>
>
type PathParams<Parts extends string> = Parts extends `${infer First}/${infer Rest}`
  ? SegmentParam<First> & PathParams<Rest>
  : SegmentParam<Parts>
type QueryParams<Query extends string> = Query extends `${infer First}&${infer Rest}`
  ? QueryParams<First> & QueryParams<Rest>
  : Query extends `${string}=${infer Name}`
    ? SegmentParam<Name>
    : unknown
type SegmentParam<Part extends string> = Part extends `:${infer Name}(${infer Words})`
  ? Record<Name, Alternatives<Words>>
  : Part extends `:${infer Name}`
    ? Record<Name, string>
    : unknown
type Alternatives<Words extends string> = Words extends `${infer First}|${infer Rest}`
  ? First | Alternatives<Rest>
  : Words
type Flatten<Type> = { [Key in keyof Type]: Type[Key] }

/** A screen with the parameters in its address. `not-found` is an address that names no screen. */
export type Route =
  | { [At in RouteName]: Flatten<{ at: At } & RouteParams<At>> }[RouteName]
  | { at: 'not-found' }

/** A segment of an address: fixed text, or a parameter with its name and, where it is an enumeration, its allowed values. */
interface Segment {
  text: string
  name: string | undefined
  allowed: string[] | undefined
}
interface RoutePattern {
  segments: Segment[]
  /** The key of each query parameter, and the name it has in the route. */
  query: [key: string, name: string][]
}

const PATTERNS = Object.fromEntries(
  Object.entries(ROUTES).map(([at, [pattern]]) => [at, parsePattern(pattern)]),
) as Record<RouteName, RoutePattern>

function parsePattern(pattern: string): RoutePattern {
  const [path = '', query = ''] = pattern.split('?')
  return {
    segments: path.split('/').map((text) => {
      const [, name, allowed] = /^:(\w+)(?:\((.+)\))?$/u.exec(text) ?? []
      return { text, name, allowed: allowed?.split('|') }
    }),
    query: [...new URLSearchParams(query)].map(([key, value]) => [key, value.slice(1)]),
  }
}

/** The address of a route. */
export function buildPath(route: Route): string {
  if (route.at === 'not-found') return '/'
  const values = route as unknown as Record<string, string | undefined>
  const { segments, query } = PATTERNS[route.at]
  const path = segments.map(({ text, name }) => (name && values[name]) ?? text).join('/')
  const asked = query.flatMap(([key, name]) => (values[name] ? [[key, values[name]]] : []))
  return asked.length ? `${path}?${new URLSearchParams(asked)}` : path
}

/** The route of an address; `not-found` when no screen has it. */
export function parseRoute(url: URL): Route {
  for (const at of Object.keys(PATTERNS) as RouteName[]) {
    const values = matchPattern(url, PATTERNS[at])
    if (values) return { at, ...values } as Route
  }
  return { at: 'not-found' }
}

function matchPattern(
  { pathname, searchParams }: URL,
  { segments, query }: RoutePattern,
): Record<string, string> | null {
  const given = pathname.replace(/(.)\/$/u, '$1').split('/')
  if (given.length !== segments.length) return null
  const values: Record<string, string> = {}
  for (const [index, { text, name, allowed }] of segments.entries()) {
    const found = given[index] ?? ''
    if (name ? !found || allowed?.includes(found) === false : found !== text) return null
    if (name) values[name] = found
  }
  for (const [key, name] of query) {
    const value = searchParams.get(key)
    if (value) values[name] = value
  }
  return values
}

export const currentRoute = signal<Route>({ at: 'today' })

function updateCurrentRoute(): void {
  currentRoute.value = parseRoute(new URL(location.href))
}

/** Goes to a screen; `replace` takes the current one out of the browser's history. */
export function navigate(next: Route, options: { replace?: boolean } = {}): void {
  const path = buildPath(next)
  if (options.replace) history.replaceState(history.state, '', path)
  else pushPath(path)
  updateCurrentRoute()
  scrollTo(0, 0)
}

const currentPath = () => location.pathname + location.search

/** Adds an entry to the browser's history that knows which screen it was reached from. */
function pushPath(path: string): void {
  history.pushState({ from: currentPath() }, '', path)
}

/**
 * Follows a link of the page. A back link (`rel=prev`) to the screen that this one was reached from goes back in the
 * browser's history instead: the screen keeps its scroll position, and the browser's own back leads further back.
 */
function followLink(link: HTMLAnchorElement): void {
  const path = link.pathname + link.search
  if (link.rel === 'prev' && (history.state as { from?: string } | null)?.from === path) {
    history.back()
    return
  }
  pushPath(path)
  updateCurrentRoute()
  scrollTo(0, 0)
}

/** Follows the address bar, the browser's back and forward, and plain links of the page. */
export function startRouter(): void {
  addEventListener('popstate', updateCurrentRoute)
  document.addEventListener('click', (event) => {
    if (
      event.defaultPrevented ||
      event.button ||
      event.metaKey ||
      event.ctrlKey ||
      event.shiftKey ||
      event.altKey
    )
      return
    const link = (event.target as Element | null)?.closest('a')
    if (!link || link.target || link.hasAttribute('download') || link.origin !== location.origin) return
    if (link.hash || link.pathname.startsWith('/api/')) return
    event.preventDefault()
    followLink(link)
  })
  updateCurrentRoute()
}
