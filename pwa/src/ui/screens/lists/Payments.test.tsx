// @vitest-environment happy-dom
import { beforeEach, expect, test, vi } from 'vitest'
import { mayDo } from '../../../store/fakes/session'
import { root, showScreen } from '../../fakes/screen'
import { Money } from './Money'
import { Payments } from './Payments'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

beforeEach(() => mayDo('bill', 'keep_books'))

const closing = () => [...root.querySelectorAll('a')].find(({ href }) => href.endsWith('/books/day'))

test.each([
  { name: 'payments', screen: () => <Payments /> },
  { name: 'invoices', screen: () => <Money /> },
])('a day is closed from the list of $name, by who keeps the books', async ({ screen }) => {
  await showScreen(() => undefined, screen)
  expect(closing()?.textContent).toBe('Close a day')
  mayDo('bill')
  await showScreen(() => undefined, screen)
  expect(root.querySelector('h1')).not.toBeNull()
  expect(closing()).toBeUndefined()
})
