// @vitest-environment happy-dom
import { act } from 'preact/test-utils'
import { expect, test, vi } from 'vitest'
import {
  type Customer,
  type Invoice,
  type InvoiceLine,
  PRICE_PARTS,
  type PriceBook,
} from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { creditForm as t } from '../../../domain/words/invoices'
import { basis } from '../../../store/fakes/book'
import { queue } from '../../../store/queue/queue'
import { allOf } from '../../../store/rows/selectors'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { CreditForm } from './CreditForm'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set(['keep_books', 'bill'])), session: signal({ member: { id: 'me' } }) }
})

const ID = (at: number) => `00000000-0000-7000-8000-00000000000${at}`
const LABOR = { id: ID(5), kind: 'labor', words: 'Fit new brushes', hours: '1.5', position: 0 }
const BLADES = {
  id: ID(6),
  kind: 'part',
  words: 'Blade',
  quantity: '3',
  unit_price_minor: 2_000,
  position: 1,
}

/** An issued invoice of 1.5 h at 90.00 and three blades at 20.00, with a labor minimum of 200.00. */
const show = () =>
  showScreen(
    (server) => {
      const made = born()
      const dear = { ...basis, labor_minimum_minor: 20_000 }
      server.put('customer', { ...DEFAULTS.customer, ...made, id: ID(2), name: 'Winnie Stroud' } as Customer)
      server.put('price_book', { ...made, id: ID(9), prices: basis, confirmed: PRICE_PARTS } as PriceBook)
      const row = { ...DEFAULTS.invoice, ...made, id: ID(1), customer_id: ID(2), number: 'INV-1001' }
      server.put('invoice', {
        ...row,
        kind: 'invoice',
        state: 'issued',
        basis: dear,
        discount: { percent: null, minor: null },
        totals: { total_minor: 26_000, lines: [], added: [] },
      } as unknown as Invoice)
      for (const line of [LABOR, BLADES])
        server.put('invoice_line', {
          ...DEFAULTS.invoice_line,
          ...made,
          rank: 'needed',
          invoice_id: ID(1),
          ...line,
        } as InvoiceLine)
    },
    () => <CreditForm id={ID(1)} />,
  )

const draft = () => allOf('invoice').find(({ kind }) => kind === 'credit_note')
const option = (text: string) =>
  [...root.querySelectorAll('label')]
    .find((label) => label.textContent?.includes(text))
    ?.querySelector('input')

async function type(label: string, text: string): Promise<void> {
  const field = [...root.querySelectorAll('label')].find((each) => each.textContent?.includes(label))
  const input = root.querySelector<HTMLInputElement>(`#${CSS.escape(field?.htmlFor ?? '')}`)
  if (!input) throw new Error(`no field: ${label}`)
  await act(() => {
    input.value = text
    input.dispatchEvent(new Event('input', { bubbles: true }))
  })
}

test('two of three blades are credited, without the labor minimum of the invoice', async () => {
  await show()
  await press(option(t.some))
  await press(option('Blade'))
  await type(t.count('3', 'Blade'), '2')
  expect(root.querySelector('[role=status]')?.textContent).toContain('$40.00')
  await press(button(t.save))
  expect(draft()?.totals?.subtotal_minor).toBe(4_000)
  expect(queue.value.at(-1)).toMatchObject({
    name: 'draft_credit_note',
    args: { credited_id: ID(1), lines: [{ line_id: ID(6), quantity: '2' }] },
  })
})

test('more than there are and no line at all are refused where they stand; what was typed stays', async () => {
  await show()
  await press(option(t.some))
  await press(button(t.save))
  expect(root.textContent).toContain(t.none)
  await press(option('Blade'))
  await type(t.count('3', 'Blade'), '4')
  await press(button(t.save))
  expect(root.textContent).toContain(t.badCount)
  expect(draft()).toBe(undefined)
})

test('all of it mirrors the invoice', async () => {
  await show()
  await press(button(t.save))
  expect(draft()?.basis.labor_minimum_minor).toBe(20_000)
  expect(allOf('invoice_line').filter(({ invoice_id }) => invoice_id === draft()?.id)).toHaveLength(2)
})
