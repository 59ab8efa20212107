// @vitest-environment happy-dom
import { act } from 'preact/test-utils'
import { expect, test, vi } from 'vitest'
import type { BillingSettings, Invoice, InvoiceLine } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { invoiceLineForm as t } from '../../../domain/words/invoices'
import { basis } from '../../../store/fakes/book'
import { queue } from '../../../store/queue/queue'
import { allOf } from '../../../store/rows/selectors'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { AddInvoiceLine, ChangeInvoiceLine } from './InvoiceLineForm'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set(['bill'])), session: signal({ member: { id: 'me' } }) }
})

const ID = (at: number) => `00000000-0000-7000-8000-00000000000${at}`

const show = (screen: () => preact.JSX.Element, line?: Partial<InvoiceLine>) =>
  showScreen((server) => {
    const made = born()
    const row = { ...DEFAULTS.invoice, ...made, id: ID(1), customer_id: ID(2), kind: 'invoice', basis }
    server.put('invoice', { ...row, state: 'draft', discount: { percent: null, minor: null } } as Invoice)
    const settings = { ...DEFAULTS.billing_settings, ...made, id: ID(9), warranty_days: 90 }
    server.put('billing_settings', { labor: 'as_quoted', ...settings } as BillingSettings)
    if (line)
      server.put('invoice_line', {
        ...DEFAULTS.invoice_line,
        ...made,
        rank: 'needed',
        position: 0,
        id: ID(5),
        invoice_id: ID(1),
        ...line,
      } as InvoiceLine)
  }, screen)

const labelled = (label: string) =>
  [...root.querySelectorAll('label')].find((each) => each.textContent?.includes(label))
const option = (text: string) => labelled(text)?.querySelector('input')

async function type(label: string, text: string): Promise<void> {
  const fields = [...root.querySelectorAll('label')].filter(({ htmlFor }) => htmlFor)
  const of = fields.find((each) => each.textContent?.includes(label))?.htmlFor ?? 'none'
  const input = root.querySelector<HTMLInputElement>(`#${CSS.escape(of)}`)
  if (!input) throw new Error(`no field: ${label}`)
  await act(() => {
    input.value = text
    input.dispatchEvent(new Event('input', { bubbles: true }))
  })
}

test('a part is added with a discount in percent and the warranty that the settings begin with', async () => {
  await show(() => <AddInvoiceLine id={ID(1)} />)
  await press(option('Part'))
  await type(t.words, 'Blade')
  await type(t.quantity, '2')
  await type(t.price, '31.40')
  await press(option(t.offPercent))
  await type(t.offPercent, '10')
  await type(t.warrantyHours, '50')
  await press(button(t.save))
  expect(queue.value.at(-1)).toMatchObject({
    name: 'put_invoice_line',
    args: { discount_percent: '10', discount_minor: null, warranty_days: 90, warranty_hours: '50' },
  })
  const [line] = allOf('invoice_line')
  expect(line).toMatchObject({ quantity: '2', unit_price_minor: 3140, taxed: null })
  expect(allOf('invoice')[0]?.totals?.subtotal_minor).toBe(5652)
})

test('a fee has one price for all of it together, and what it says of the tax stays', async () => {
  const fee = { kind: 'fee', words: 'Disposal', quantity: '2', unit_price_minor: 500, taxed: false } as const
  await show(() => <ChangeInvoiceLine id={ID(1)} lineId={ID(5)} />, fee)
  await press(option(t.together))
  await type(t.fixed, '8')
  await press(button(t.save))
  expect(allOf('invoice_line')[0]).toMatchObject({
    fixed_minor: 800,
    unit_price_minor: null,
    taxed: false,
  })
})

test('a percentage above 100 and a broken number of days are refused where they stand', async () => {
  const part = { kind: 'part', words: 'Blade', quantity: '1', unit_price_minor: 500 } as const
  await show(() => <ChangeInvoiceLine id={ID(1)} lineId={ID(5)} />, part)
  await press(option(t.offPercent))
  await type(t.offPercent, '101')
  await type(t.warrantyDays, '1.5')
  await press(button(t.save))
  expect(root.textContent).toContain(t.badPercent)
  expect(root.textContent).toContain(t.badDays)
  expect(queue.value.some(({ name }) => name === 'put_invoice_line')).toBe(false)
})
