// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import { moneyReports } from '../../../domain/words/moneyReports'
import { root, showScreen } from '../../fakes/screen'
import { ComebacksReport } from './ComebacksReport'
import { QuotedBilled } from './QuotedBilled'

const t = moneyReports.comebacks
const GROUP = {
  name: '',
  member_id: null,
  comebacks: 1,
  finished: 8,
  percent: '12.5',
  unbilled_cost_minor: 7250,
  jobs: ['back'],
}

vi.mock('../../../store/moneyReports', async (original) => ({
  ...(await original<typeof import('../../../store/moneyReports')>()),
  readComebacks: async () => ({
    whole: GROUP,
    works: [{ ...GROUP, name: 'Carburetor clean' }],
    // As a member who may not see costs reads it.
    members: [{ ...GROUP, name: 'Ada', member_id: 'ada', unbilled_cost_minor: null }],
    comebacks: [
      {
        job_id: 'back',
        job: 'J-9',
        first_id: 'first',
        first: 'J-1',
        kind: 'mower',
        opened_on: '2026-11-30',
        warranty: 'covered',
        clocked_seconds: 5400,
        billed_minor: 0,
        labor_cost_minor: 6000,
        parts_cost_minor: 1250,
        unbilled_cost_minor: 7250,
        unknown_costs: 1,
      },
    ],
  }),
  readQuotedBilled: async () => ({
    whole: {
      jobs: 1,
      quoted_minor: 16300,
      billed_minor: 15000,
      difference_minor: -1300,
      quoted_seconds: 5400,
      billed_seconds: 5400,
      clocked_seconds: 7200,
      efficiency_percent: '75.0',
      paid_seconds: null,
      recovery_percent: null,
    },
    jobs: [
      {
        job_id: 'job',
        job: 'J-1',
        kind: 'mower',
        quoted_minor: 16300,
        billed_minor: 15000,
        difference_minor: -1300,
        quoted_seconds: 5400,
        billed_seconds: 5400,
        clocked_seconds: 7200,
        efficiency_percent: '75.0',
        quotes: [{ quote_id: 'quote', number: 'Q-1', quoted_minor: 16300, quoted_seconds: 5400 }],
        invoices: [{ invoice_id: 'invoice', number: 'INV-1', billed_minor: 15000, billed_seconds: 5400 }],
      },
    ],
  }),
}))

const links = () => [...root.querySelectorAll('a')].map((each) => each.getAttribute('href'))

test('comebacks say their share and cost, and each group opens its jobs', async () => {
  await showScreen(
    () => undefined,
    () => <ComebacksReport />,
  )
  await vi.waitFor(() => expect(root.textContent).toContain('J-9'))
  expect(root.textContent).toContain(t.against(1, 8))
  expect(root.textContent).toContain('12.5%')
  expect(root.textContent).toContain('$72.50')
  expect(root.textContent).toContain(t.warranty.covered)
  const groups = [...root.querySelectorAll('details')]
  expect(groups.map((each) => each.querySelector('.title')?.textContent)).toEqual(['Carburetor clean', 'Ada'])
  expect(groups.map((each) => each.querySelector('summary .value')?.textContent)).toEqual([
    '$72.50',
    undefined,
  ])
  for (const group of groups) expect(group.querySelector('a')?.getAttribute('href')).toBe('/jobs/back')
})

test('quoted against billed says the difference, and each job opens what is behind it', async () => {
  await showScreen(
    () => undefined,
    () => <QuotedBilled />,
  )
  await vi.waitFor(() => expect(root.textContent).toContain('INV-1'))
  expect(root.textContent).toContain(moneyReports.quotedBilled.less('$13.00'))
  expect(root.textContent).toContain('75%')
  // Without the hours of others there is no recovery.
  expect(root.textContent).not.toContain(moneyReports.quotedBilled.allHours)
  for (const path of ['/quotes/quote', '/invoices/invoice', '/jobs/job']) expect(links()).toContain(path)
})
