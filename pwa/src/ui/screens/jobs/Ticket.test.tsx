// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import type { Customer, IntakeTerms, Job, Machine, Notice, Shop } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import type { FakeServer } from '../../../store/fakes/server'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { Ticket } from './Ticket'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set(['message'])), session: signal({ tiles: null }) }
})

interface Rows {
  customer?: Partial<Customer>
  job?: Partial<Job>
  notice?: Partial<Notice>
}

function putRows(server: FakeServer, more: Rows) {
  const made = born()
  server.put('shop', { ...made, id: 'shop', zone: 'UTC', locale: 'en-US', currency: 'USD' } as Shop)
  const otis = { id: 'customer', name: 'Otis Quill', phone: '208 555 7000', email: 'otis@quill.example' }
  server.put('customer', { ...DEFAULTS.customer, ...made, ...otis, ...more.customer } as Customer)
  server.put('machine', { ...DEFAULTS.machine, ...made, id: 'machine', customer_id: 'customer' } as Machine)
  const job = { id: 'job', number: 'J-1001', customer_id: 'customer', machine_id: 'machine' }
  server.put('job', { ...DEFAULTS.job, ...made, ...job, opened_at: made.created_at, ...more.job } as Job)
  server.put('intake_terms', {
    ...DEFAULTS.intake_terms,
    ...made,
    id: 'terms',
    job_id: 'job',
    storage_free_days: 30,
    storage_per_day_minor: 300,
    accepted_by_name: 'Otis',
    accepted_at: '2026-05-02T10:00:00.000Z',
  } as IntakeTerms)
  if (more.notice)
    server.put('notice', {
      ...DEFAULTS.notice,
      ...made,
      id: 'notice',
      template: 'machine_received',
      about_kind: 'job',
      about_id: 'job',
      address: '208 555 7000',
      channel: 'sms',
      subject: '',
      body: 'We have your mower',
      not_before: made.created_at,
      has_link: true,
      ...more.notice,
    } as Notice)
}

const shown = (more: Rows = {}) =>
  showScreen(
    (server) => putRows(server, more),
    () => <Ticket id="job" />,
  )

test('the ticket goes out the way the customer wants, once', async () => {
  const at = await shown({ customer: { contact_by: 'email' } })
  expect(root.querySelector('button.primary-button')?.textContent).toContain('Email the ticket')
  expect(button('Text the ticket')).toBeDefined()
  await press(button('Email the ticket'))
  expect(at.outbox.map(({ name, args }) => ({ name, args }))).toEqual([
    {
      name: 'send_ticket',
      args: {
        id: expect.any(String),
        job_id: 'job',
        channel: 'email',
        address: 'otis@quill.example',
        name: 'Otis Quill',
      },
    },
  ])
  // It is on its way, without a signal too: nothing is left to press twice.
  await vi.waitFor(() => expect(root.textContent).toContain('Making the PDF.'))
  expect(button('Email the ticket')).toBeUndefined()
  expect(button('Text the ticket')).toBeUndefined()
})

test('one that a member is to send is not written again', async () => {
  await shown({ notice: { state: 'by_hand' } })
  expect(button('Text the ticket')).toBeUndefined()
  expect(root.textContent).toContain('We have your mower')
})

test('one that was sent can be written again', async () => {
  await shown({ notice: { state: 'sent' } })
  expect(button('Text the ticket')).toBeDefined()
})

test('it states the terms that were accepted', async () => {
  await shown()
  expect(root.textContent).toContain('Storage $3.00 a day')
  expect(root.textContent).toContain('After 30 days free')
  expect(root.textContent).toContain('Accepted by Otis, May 2, 2026')
  expect(root.textContent).not.toContain('Diagnosis fee')
})

test('before a pickup it says that the message would be early, and without an address that nothing can be sent', async () => {
  await shown({ job: { arrives_by: 'pickup' }, customer: { phone: '', email: '' } })
  expect(root.textContent).toContain('Send it after the pickup.')
  expect(root.textContent).toContain('No phone or email on file')
})
