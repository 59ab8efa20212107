// @vitest-environment happy-dom
import { readFileSync } from 'node:fs'
import type { ComponentChild } from 'preact'
import { act } from 'preact/test-utils'
import { beforeEach, expect, test, vi } from 'vitest'
import type { Shop } from '../domain/contract'
import { DEFAULTS } from '../domain/contractDefaults'
import { daysAfter } from '../domain/time'
import { payForm } from '../domain/words/payments'
import { catalog as partForm } from '../domain/words/stock'
import { basis } from '../store/fakes/book'
import type { FakeServer } from '../store/fakes/server'
import { mayDo } from '../store/fakes/session'
import { openAmounts } from '../store/owed'
import { allOf } from '../store/rows/selectors'
import { cellField } from './desk/cells'
import { born, press, root, showScreen } from './fakes/screen'
import { csvText } from './features/tables/csv'
import { CreditForm } from './screens/billing/CreditForm'
import { Invoice } from './screens/billing/Invoice'
import { DayClose } from './screens/books/DayClose'
import { Money } from './screens/lists/Money'
import { MarginReport } from './screens/moneyReports/MarginReport'
import { QuoteOutcomes } from './screens/moneyReports/QuoteOutcomes'
import { TakingsReport } from './screens/moneyReports/TakingsReport'
import { Order } from './screens/orders/Order'
import { Ageing } from './screens/owed/Ageing'
import { AgeTable } from './screens/owed/AgeTable'
import { OpenInvoices } from './screens/owed/OpenInvoices'
import { Statement } from './screens/owed/Statement'
import { PartView } from './screens/parts/PartView'
import { InvoiceMoneyView } from './screens/payments/MoneyView'
import { PayInvoice } from './screens/payments/PayForm'
import { PaymentView } from './screens/payments/PaymentView'
import { ChangeCatalogPart } from './screens/stock/CatalogPartForm'
import { CatalogPartView } from './screens/stock/CatalogPartView'
import { today } from './shopFormat'

vi.mock('../store/session/session', () => import('../store/fakes/session'))

beforeEach(() => mayDo('bill', 'keep_books', 'message', 'see_cost', 'order_parts', 'work_jobs', 'edit_shop'))

const COUNT = { declined: 0, declined_minor: 0, unanswered: 0, unanswered_minor: 0, accepted: 1 }
const MONTH = { month: '2026-11', billed_minor: 16_300, taken_minor: 7_005, tip_minor: 500, tax_minor: 1_182 }
const GROUP = {
  name: 'tiller',
  jobs: 1,
  billed_minor: 16_300,
  parts_cost_minor: 2_000,
  margin_minor: 14_300,
  margin_percent: '87.7',
  clocked_seconds: 5_400,
  per_hour_minor: 9_533,
  unpriced: 0,
}
const MARGIN_JOB = { ...GROUP, job_id: 'job', number: 'J-7', kind: 'tiller', parts_without_cost: 0 }

vi.mock('../store/moneyReports', async (original) => ({
  ...(await original<typeof import('../store/moneyReports')>()),
  readTakings: async () => ({
    months: [MONTH],
    methods: [{ method: 'cash', taken_minor: 7_005, tip_minor: 500 }],
    tax_minor: 1_182,
    payments: [],
  }),
  readMargin: async () => ({ whole: GROUP, kinds: [GROUP], members: [GROUP], jobs: [MARGIN_JOB] }),
  readQuoteOutcomes: async () => ({
    open: 0,
    median_minutes: null,
    counts: [{ ...COUNT, accepted_minor: 17_482, group: 'kind', value: 'first' }],
    quotes: [],
  }),
}))

/** How an amount begins for an American reader: what has no sign of its own is named by its code (CLDR). */
const SIGNS = { JPY: '¥', USD: '$', KWD: 'KWD ' } as const
type Currency = keyof typeof SIGNS
const CURRENCIES = Object.keys(SIGNS) as Currency[]

const ISO_4217: { digits: Record<string, string[]> } = JSON.parse(
  readFileSync(`${import.meta.dirname}/../../../fixtures/pricing/currencies.json`, 'utf8'),
)

/** The digits of a currency by ISO 4217, whose table stands in the fixture. */
const digitsOf = (currency: Currency): number =>
  Number(Object.entries(ISO_4217.digits).find(([, all]) => all.includes(currency))?.[0])

function typed(currency: Currency, minor: number): string {
  const digits = digitsOf(currency)
  const figures = String(minor).padStart(digits + 1, '0')
  return digits ? `${figures.slice(0, -digits)}.${figures.slice(-digits)}` : figures
}

function shown(currency: Currency, minor: number): string {
  const [whole = '', part] = typed(currency, minor).split('.')
  return SIGNS[currency] + whole.replace(/\B(?=(\d{3})+$)/g, ',') + (part === undefined ? '' : `.${part}`)
}

/** All amounts of a text with all of their digits; what is left has no amount at all. */
function amountsIn(currency: Currency, text: string): [found: string[], rest: string] {
  const digits = digitsOf(currency)
  const sign = SIGNS[currency].replace('$', '\\$')
  const amount = new RegExp(`${sign}\\d{1,3}(?:,\\d{3})*${digits ? `\\.\\d{${digits}}` : '(?![.,]\\d)'}`, 'g')
  return [text.match(amount) ?? [], text.replace(amount, '')]
}

const ago = (days: number) => daysAfter(today(), -days)
const OF = { customer_id: 'otis', job_id: 'job' }

function fill(server: FakeServer, currency: Currency) {
  const put = (kind: keyof typeof DEFAULTS | 'shop', row: object) =>
    server.put(kind as never, { ...(DEFAULTS as Record<string, object>)[kind], ...born(), ...row } as never)
  const shop = { id: 'shop', name: 'Bench', locale: 'en-US', currency, zone: 'UTC', week_start: 'monday' }
  put('shop', shop as unknown as Shop)
  put('customer', { id: 'otis', name: 'Otis Quill', email: 'otis@quill.example' })
  put('job', {
    id: 'job',
    customer_id: 'otis',
    machine_id: 'm',
    number: 'J-7',
    waits_on: [],
    stage: 'repair',
  })
  const book = { ...basis, currency, minor_digits: digitsOf(currency) }
  const totals = {
    total_minor: 17_482,
    lines: [],
    added: [],
    tax: [],
    subtotal_minor: 16_300,
    net_minor: 16_300,
  }
  const days = { issued_on: ago(40), due_on: ago(20), issued_at: born().created_at }
  const pdf = { state: 'none', url: '', reason: null }
  const bill = { ...OF, pdf, id: 'bill', number: 'INV-1', state: 'issued', totals, basis: book, ...days }
  put('invoice', bill)
  put('invoice_line', {
    id: 'line',
    invoice_id: 'bill',
    kind: 'fee',
    rank: 'needed',
    words: 'Brush set',
    fixed_minor: 17_482,
    position: 0,
  })
  put('invoice', { ...OF, pdf, id: 'draft', mark: 'B-1-I1', number: null, state: 'draft', basis: book })
  const line = { invoice_id: 'draft', rank: 'needed', position: 0 }
  put('invoice_line', {
    ...line,
    id: '00000000-0000-7000-8000-000000000001',
    kind: 'fee',
    words: 'Callout',
    fixed_minor: 15_014,
  })
  put('invoice_line', {
    ...line,
    id: '00000000-0000-7000-8000-000000000002',
    position: 1,
    kind: 'part',
    words: 'Set',
    quantity: '2',
    unit_price_minor: 1_234,
  })
  put('payment', {
    ...OF,
    id: 'paid',
    invoice_id: 'bill',
    kind: 'payment',
    method: 'cash',
    amount_minor: 7_005,
    tip_minor: 500,
    paid_on: today(),
    paid_at: born().created_at,
    member_id: null,
  })
  put('supplier', { id: 'oakline', name: 'Oakline Supply' })
  put('catalog_part', {
    id: 'belt',
    number: 'BX-41',
    description: 'Deck belt',
    cost_minor: 1_234,
    price_minor: 12_345,
  })
  put('part_need', {
    id: 'need',
    job_id: 'job',
    number: 'BX-41',
    description: 'Deck belt',
    quantity: '2',
    cost_minor: 1_234,
    agreed_minor: 12_345,
    state: 'wanted',
  })
  put('part_order', {
    id: 'order',
    supplier_id: 'oakline',
    number: 'PO-1',
    state: 'sent',
    bill_minor: 98_765,
  })
  put('part_order_line', {
    id: 'ordered',
    order_id: 'order',
    number: 'BX-41',
    description: 'Deck belt',
    quantity: '2',
    cost_minor: 1_234,
    core_minor: 4_500,
    answer: 'open',
    position: 0,
  })
}

const SCREENS: readonly (readonly [name: string, screen: () => ComponentChild, ...minor: number[]])[] = [
  ['an invoice', () => <Invoice id="bill" />, 17_482, 10_477],
  ['a draft of an invoice', () => <Invoice id="draft" />, 17_482, 1_234],
  ['a credit note', () => <CreditForm id="bill" />, 17_482],
  ['the money of an invoice', () => <InvoiceMoneyView id="bill" />, 17_482, 7_005, 10_477],
  ['taking a payment', () => <PayInvoice id="bill" />, 10_477],
  ['a receipt', () => <PaymentView id="paid" />, 7_505, 500, 10_477],
  ['what is owed', () => <Ageing />, 10_477],
  ['what is owed, at the desk', () => <AgeTable amounts={openAmounts(today())} />, 10_477],
  ['open invoices', () => <OpenInvoices />, 10_477],
  ['a statement', () => <Statement id="otis" />, 17_482, 7_005, 10_477],
  ['the takings of a day', () => <DayClose />, 7_505],
  ['invoices on a phone', () => <Money />, 17_482, 10_477],
  ['a part of the catalog', () => <CatalogPartView id="belt" />, 1_234, 12_345],
  ['a part of a job', () => <PartView id="need" />, 1_234, 12_345],
  ['a parts order', () => <Order id="order" />, 1_234, 98_765],
  ['billed and taken', () => <TakingsReport />, 16_300, 7_005],
  ['margin', () => <MarginReport />, 16_300, 2_000, 14_300],
  ['where quotes are lost', () => <QuoteOutcomes />, 17_482],
]

const CASES = CURRENCIES.flatMap((currency) =>
  SCREENS.map(([name, screen, ...minor]) => ({ currency, name, screen, minor })),
)

test.each(CASES)('in $currency $name shows its amounts with the digits of the currency', async (each) => {
  const { currency, screen, minor } = each
  await showScreen((server) => fill(server, currency), screen)
  const text = () => (root.textContent ?? '').replaceAll('\u00a0', ' ')
  await vi.waitFor(() => expect(text()).toContain(shown(currency, minor[0] ?? 0)))
  const [found, rest] = amountsIn(currency, text())
  expect(found).toEqual(expect.arrayContaining(minor.map((one) => shown(currency, one))))
  expect(rest).not.toContain(SIGNS[currency].trim())
})

/** The field with a label; types into it where there is text. */
async function field(label: string, text?: string): Promise<HTMLInputElement> {
  const found = [...root.querySelectorAll('label')].find((each) => each.textContent === label)
  const input = root.querySelector<HTMLInputElement>(`#${CSS.escape(found?.getAttribute('for') ?? '')}`)
  if (!input) throw new Error(`no field ${label}`)
  if (text !== undefined)
    await act(() => {
      input.value = text
      input.dispatchEvent(new Event('input', { bubbles: true }))
    })
  return input
}

const save = () => press(root.querySelector<HTMLButtonElement>('.primary-button'))

test.each(CURRENCIES)(
  'in %s a payment is typed with its digits, and one digit too many is refused',
  async (currency) => {
    await showScreen(
      (server) => fill(server, currency),
      () => <PayInvoice id="bill" />,
    )
    expect((await field(payForm.amount)).value).toBe(typed(currency, 10_477))
    const whole = typed(currency, 1_234)
    await field(payForm.amount, whole.includes('.') ? `${whole}5` : `${whole}.5`)
    await save()
    expect(allOf('payment')).toHaveLength(1)
    await field(payForm.amount, whole)
    await field(payForm.tip, typed(currency, 505))
    expect((root.textContent ?? '').replaceAll('\u00a0', ' ')).toContain(payForm.save(shown(currency, 1_739)))
    await save()
    expect(allOf('payment').find(({ id }) => id !== 'paid')).toMatchObject({
      amount_minor: 1_234,
      tip_minor: 505,
    })
  },
)

test.each(CURRENCIES)('in %s a part keeps its cost and price through the form', async (currency) => {
  await showScreen(
    (server) => fill(server, currency),
    () => <ChangeCatalogPart id="belt" />,
  )
  expect((await field(partForm.cost)).value).toBe(typed(currency, 1_234))
  await field(partForm.cost, typed(currency, 9_876))
  await save()
  expect(allOf('catalog_part')[0]).toMatchObject({ cost_minor: 9_876, price_minor: 12_345 })
})

test.each(CURRENCIES)('in %s a table saves plain amounts with all digits', async (currency) => {
  await showScreen(
    (server) => fill(server, currency),
    () => null,
  )
  const amount = (minor: number | null) =>
    cellField({ key: 'open', label: '', width: 1, kind: 'money', value: () => minor }, {})
  expect(csvText([[amount(17_482), amount(-1_200), amount(null)]])).toBe(
    `${typed(currency, 17_482)},-${typed(currency, 1_200)},\r\n`,
  )
})
