// @vitest-environment happy-dom
import { act } from 'preact/test-utils'
import { expect, test, vi } from 'vitest'
import type { BillingSettings } from '../../../domain/contract'
import { billingSettings as t } from '../../../domain/words/billingSettings'
import { proofAsked } from '../../../store/session/proof'
import { born, press, root, showScreen } from '../../fakes/screen'
import { BillingSettingsForm } from './BillingSettingsForm'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

/** Answers the question who is there once it is asked. */
const answer = (given: boolean) =>
  vi.waitFor(async () => {
    const answered = proofAsked.value
    if (!answered) throw new Error('nothing was asked')
    await act(async () => answered(given))
  })

const shown = () =>
  showScreen(
    (server) => {
      server.put('shop', { ...born(), id: 'shop', zone: 'UTC', locale: 'en-US', currency: 'USD' } as never)
      server.put('billing_settings', { ...born(), ...ROW } as unknown as BillingSettings)
    },
    () => <BillingSettingsForm />,
  )

async function fill(label: string, value: string) {
  const found = [...root.querySelectorAll('label')].find((each) => each.textContent?.startsWith(label))
  const field = found && root.querySelector<HTMLInputElement>(`#${CSS.escape(found.htmlFor)}`)
  await act(async () => {
    if (!field) throw new Error(`no field ${label}`)
    field.value = value
    field.dispatchEvent(new InputEvent('input', { bubbles: true }))
  })
}
const changes = (outbox: readonly { args: unknown }[]) =>
  outbox.map(({ args }) => (args as { set: unknown }).set)
const save = () => press(root.querySelector<HTMLButtonElement>('button.primary-button'))

test('a change of the account waits for the password or a passkey', async () => {
  const at = await shown()
  await fill(t.iban, 'DE89370400440532013000')
  await save()
  expect(at.outbox).toEqual([])
  await answer(true)
  await vi.waitFor(() => expect(changes(at.outbox)).toEqual([{ iban: 'DE89370400440532013000' }]))
})

test('without it nothing is queued, and what was typed stays', async () => {
  const at = await shown()
  await fill(t.iban, 'DE89370400440532013000')
  await save()
  await answer(false)
  await vi.waitFor(() => expect(root.textContent).toContain(t.bankNeedsProof))
  expect(at.outbox).toEqual([])
  expect([...root.querySelectorAll('input')].some(({ value }) => value === 'DE89370400440532013000')).toBe(
    true,
  )
})

test('another setting is queued without a question', async () => {
  const at = await shown()
  await fill(t.city, 'Caldwell')
  await save()
  await vi.waitFor(() => expect(changes(at.outbox)).toEqual([{ city: 'Caldwell' }]))
  expect(proofAsked.value).toBeNull()
})

const ROW = {
  id: 'shop',
  payment_days: 14,
  labor: 'as_quoted',
  tolerance_minor: 0,
  invoice_prefix: 'INV',
  credit_prefix: 'CN',
  invoice_words: '',
  receipt_words: '',
  legal_name: '',
  street: '',
  city: '',
  region: '',
  postcode: '',
  country: '',
  tax_number: '',
  company_number: '',
  iban: '',
  bic: '',
  account_name: '',
  payment_url: '',
  reminder_days: [],
  warranty_days: null,
  warranty_hours: null,
  hour_cost_minor: null,
}
