// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import { moneyReports as t } from '../../../domain/words/moneyReports'
import { root, showScreen } from '../../fakes/screen'
import { QuoteOutcomes } from './QuoteOutcomes'

const COUNT = {
  accepted: 1,
  accepted_minor: 30000,
  declined: 1,
  declined_minor: 10000,
  unanswered: 0,
  unanswered_minor: 0,
}

vi.mock('../../../store/moneyReports', async (original) => ({
  ...(await original<typeof import('../../../store/moneyReports')>()),
  readQuoteOutcomes: async () => ({
    open: 2,
    median_minutes: 90,
    counts: [
      { ...COUNT, group: 'kind', value: 'first' },
      { ...COUNT, group: 'amount', value: '10000' },
      { ...COUNT, group: 'amount', value: '' },
    ],
    quotes: [
      {
        quote_id: 'quote',
        number: 'Q-7',
        offered_at: '2026-11-30T15:00:00Z',
        accepted_minor: 30000,
        declined_minor: 10000,
        unanswered_minor: 0,
      },
    ],
  }),
}))

test('bars say how much was accepted, by words and by length, and lead to the quotes', async () => {
  await showScreen(
    () => undefined,
    () => <QuoteOutcomes />,
  )
  await vi.waitFor(() => expect(root.textContent).toContain('Q-7'))
  expect(root.textContent).toContain(t.outcomes.bar('75%', '$400.00'))
  expect(root.textContent).toContain(t.outcomes.upTo('$100.00'))
  expect(root.textContent).toContain(t.outcomes.above('$100.00'))
  expect(root.textContent).toContain(t.outcomes.waiting(2))
  expect(root.textContent).toContain(t.outcomes.median('1.5 h'))
  const widths = [...root.querySelectorAll('.bar-chart svg[role=img]')][0]?.querySelectorAll(
    'rect[stroke-width="2"]',
  )
  expect([...(widths ?? [])].map((rect) => rect.getAttribute('width'))).toEqual(['75%', '25%', '0%'])
  expect(root.querySelector('a[href="/quotes/quote"]')).not.toBe(null)
})
