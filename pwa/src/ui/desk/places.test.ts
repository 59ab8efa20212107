// @vitest-environment happy-dom
import { expect, test } from 'vitest'
import type { Route, RouteName } from '../router'
import { ROUTES } from '../screens/routes'
import { deskPlaceOf, isDeskPlace } from './places'

const route = (at: RouteName) => ({ at, id: 'some', kind: 'pickup', of: 'week', channel: 'sms' }) as Route

test.each([
  ['job', 'jobs'],
  ['job-edit', 'jobs'],
  ['quote', 'quotes'],
  ['quote-line', 'quotes'],
  ['customer-site', 'customers'],
  ['machine-hours', 'machines'],
  ['stop-move', 'stops'],
  // By their back links: their addresses begin with no place.
  ['run', 'road'],
  ['rig', 'road'],
  ['password', 'more'],
  ['new-job', 'today'],
] as const)('%s belongs to %s', (at, place) => {
  expect(deskPlaceOf(route(at))).toBe(place)
})

test('every screen belongs to a place', () => {
  for (const at of Object.keys(ROUTES) as RouteName[]) expect(isDeskPlace(deskPlaceOf(route(at)))).toBe(true)
})
