// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { expect, test } from 'vitest'
import type { LineTotals, QuoteTotals } from '../../../domain/contract'
import { TotalsTable } from './TotalsTable'

const root = document.createElement('div')

const line = (id: string, amount_minor: number, accepted = true) =>
  ({ id, accepted, amount_minor }) as LineTotals
const sums = {
  lines: [line('labor', 10_000), line('travel', 2_500), line('refused', 4_000, false)],
  added: [{ key: 'supplies', amount_minor: 500 }],
  subtotal_minor: 13_000,
  tax: [],
  tax_minor: 0,
  total_minor: 13_000,
  deposit_minor: 0,
} as unknown as QuoteTotals

const rows = () =>
  [...root.querySelectorAll('dt')].map((name) => [name.textContent, name.nextElementSibling?.textContent])

test('costs agreed before are a row of their own, as on the PDF, and the rows still add up', async () => {
  const lines = [{ id: 'labor' }, { id: 'travel', agreed: true }, { id: 'refused', agreed: null }]
  await act(() => render(<TotalsTable sums={sums} inclusive={false} lines={lines} />, root))
  expect(rows()).toEqual([
    ['Subtotal', '$100.00'],
    ['Agreed before', '$25.00'],
    ['Shop supplies', '$5.00'],
    ['Total', '$130.00'],
  ])
})

test('without any there is no such row', async () => {
  await act(() => render(<TotalsTable sums={sums} inclusive={false} lines={[{ id: 'labor' }]} />, root))
  expect(rows().map(([name]) => name)).toEqual(['Subtotal', 'Shop supplies', 'Total'])
})
