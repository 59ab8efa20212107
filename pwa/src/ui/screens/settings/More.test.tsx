// @vitest-environment happy-dom
import { beforeEach, expect, test, vi } from 'vitest'
import { mayDo } from '../../../store/fakes/session'
import { root, showScreen } from '../../fakes/screen'
import { MENU_WORDS } from '../../menuWords'
import { menuRoutes } from '../../routeAccess'
import { More } from './More'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

const EVERYTHING = ['bill', 'keep_books', 'edit_shop', 'manage_members', 'order_parts'] as const

beforeEach(() => mayDo(...EVERYTHING))

const headings = () => [...root.querySelectorAll('h2')].map(({ textContent }) => textContent)
const listed = () => [...root.querySelectorAll('.list .title')].map((one) => one.textContent)

test('every screen under More is listed once, under a heading', async () => {
  await showScreen(
    () => undefined,
    () => <More />,
  )
  expect(headings()).toEqual(['Machines and bench', 'Parts', 'Money', 'Hours', 'Shop and settings'])
  const titles = menuRoutes('more').map((at) => MENU_WORDS[at].title)
  expect(listed().toSorted()).toEqual(titles.toSorted())
})

test('a heading with nothing under it for this member is left out', async () => {
  mayDo('work_jobs')
  await showScreen(
    () => undefined,
    () => <More />,
  )
  expect(root.textContent).not.toContain('Bookkeeping')
  for (const list of root.querySelectorAll('.list')) expect(list.children.length).toBeGreaterThan(0)
})
