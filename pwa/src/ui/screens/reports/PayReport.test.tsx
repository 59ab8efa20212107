// @vitest-environment happy-dom
import type { Signal } from '@preact/signals'
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test, vi } from 'vitest'
import type { Shop } from '../../../domain/contract'
import { PayReport } from './PayReport'

const shop = { id: 'shop', name: 'Shop', zone: 'America/Chicago', week_start: 'monday' }

vi.mock('../../../store/shop', async () => {
  const { signal } = await import('@preact/signals')
  return { shop: signal(null), members: signal([]) }
})
vi.mock('../../../store/timeReports', () => ({
  maySeeAllTime: () => false,
  readOvertimePay: ({ day, member_id }: { day: string; member_id: string }) =>
    Promise.resolve({
      first: day,
      member_id,
      seconds: 36_000,
      over_seconds: 0,
      straight_minor: 20_000,
      regular_rate_minor: '2000.00',
      premium_minor: 0,
      total_minor: 20_000,
      note: 'Check local law.',
    }),
}))

const root = document.createElement('div')
document.body.append(root)
afterEach(() => act(() => render(null, root)))

test('the sum is cleared when the rate changes', async () => {
  const store = await import('../../../store/shop')
  const held = store.shop as Signal<Shop | null>
  held.value = shop as unknown as Shop
  await act(() => render(<PayReport />, root))
  const type = (value: string) =>
    act(() => {
      const rate = root.querySelector('input') as HTMLInputElement
      rate.value = value
      rate.dispatchEvent(new Event('input', { bubbles: true }))
    })
  await type('20')
  await act(async () => {
    root.querySelector('form')?.dispatchEvent(new Event('submit', { bubbles: true, cancelable: true }))
  })
  expect(root.textContent).toContain('200.00')
  await type('25')
  expect(root.textContent).not.toContain('200.00')
})
