// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test, vi } from 'vitest'
import type { Permission } from '../domain/contract'
import { en } from '../domain/words'
import { session } from '../store/session/session'
import { renderRoute } from './renderRoute'
import { menuRoutes, parentRoute, placeOf } from './routeAccess'
import { buildPath, currentRoute, type Route } from './router'

const wide = vi.hoisted(() => ({ value: false }))
vi.mock('./wide', () => ({ isWide: wide }))

const root = document.createElement('div')
document.body.append(root)
const nobody = session.peek()

function signIn(...permissions: Permission[]): void {
  const member = { id: 'm', name: 'Bram Aldous', role: 'mechanic' } as const
  session.value = { ...nobody, state: 'signed_in', member, permissions }
}

async function shown(at: Route): Promise<string> {
  currentRoute.value = at
  await act(() => render(renderRoute(at), root))
  return root.textContent ?? ''
}

afterEach(async () => {
  await act(() => render(null, root))
  session.value = nobody
})

test.each([
  [{ at: 'plan' }, 'plan_runs'],
  [{ at: 'rig', id: 'r' }, 'plan_runs'],
  [{ at: 'urgent' }, 'drive_runs'],
  [{ at: 'member', id: 'm' }, 'manage_members'],
  [{ at: 'wording', id: 'approval_request', channel: 'sms' }, 'edit_shop'],
] as const)('%o is shown only with the permission', async (at, permission) => {
  signIn()
  expect(await shown(at)).toContain(en.app.notFound)
  signIn(permission)
  expect(await shown(at)).not.toContain(en.app.notFound)
})

test('the screen of the first shop is for people who are not signed in', async () => {
  session.value = { ...nobody, state: 'signed_out' }
  expect(await shown({ at: 'first-shop' })).not.toContain(en.app.notFound)
  signIn('edit_shop')
  expect(await shown({ at: 'first-shop' })).toContain(en.app.notFound)
})

test('where the desk does not fit, the address stays and shows the screen for little room', () => {
  signIn('plan_runs')
  const board = { at: 'board', day: '2026-11-30' } as const
  wide.value = true
  expect(renderRoute(board).props).toMatchObject(board)
  expect(renderRoute({ at: 'week' }).props).toMatchObject({ at: 'week' })
  wide.value = false
  currentRoute.value = board
  expect(renderRoute(board).type).toBe(renderRoute({ at: 'plan' }).type)
  expect(renderRoute({ at: 'week' }).props).toEqual({ at: 'report', of: 'week' })
  expect(currentRoute.value).toEqual(board)
  signIn()
  expect(renderRoute(board).props).not.toMatchObject({ at: 'plan' })
})

test('an unknown address and a forbidden screen show a way back', async () => {
  signIn()
  await shown({ at: 'not-found' })
  expect(root.querySelector('nav a')?.getAttribute('href')).toBe('/')
  await shown({ at: 'new-member' })
  expect(root.querySelector('nav a')?.getAttribute('href')).toBe(buildPath({ at: 'members' }))
})

test('a menu lists the permitted screens in the order of the table', () => {
  signIn()
  expect(menuRoutes('bar')).toEqual(['today', 'jobs', 'new-job', 'road', 'more'])
  expect(menuRoutes('more')).toEqual([
    'sheets',
    'services-due',
    'my-time',
    'orders',
    'reports',
    'money-reports',
    'messages',
    'calculators',
    'prices',
    'gauges',
    'suppliers',
    'check-lists',
    'stock',
    'catalog',
    'price-lists',
    'settings',
  ])
  signIn('edit_shop', 'manage_members')
  expect(menuRoutes('more')).toEqual([
    'sheets',
    'services-due',
    'my-time',
    'orders',
    'reports',
    'money-reports',
    'messages',
    'calculators',
    'prices',
    'gauges',
    'suppliers',
    'check-lists',
    'stock',
    'catalog',
    'price-lists',
    'shop',
    'billing-settings',
    'calendar',
    'members',
    'programs',
    'set-up',
    'settings',
  ])
})

test('the back link of a screen is that of its rules, else its menu', () => {
  expect(parentRoute('reports')).toEqual({ at: 'more' })
  expect(parentRoute('password')).toEqual({ at: 'security' })
  expect(parentRoute('job')).toEqual({ at: 'jobs' })
  expect(parentRoute('today')).toBeUndefined()
})

test('a screen belongs to the place that its back links lead to', () => {
  expect(placeOf('jobs')).toBe('jobs')
  expect(placeOf('job')).toBe('jobs')
  expect(placeOf('rig')).toBe('road')
  expect(placeOf('wording')).toBe('more')
  expect(placeOf('job-finding')).toBeUndefined()
})
