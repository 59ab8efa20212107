// @vitest-environment happy-dom
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { programs as t } from '../../../domain/words/programs'
import type { Webhook, WebhookDelivery } from '../../../store/webhooks'
import { acting, press, root, save, shown } from '../../fakes/askedScreen'
import { Deliveries } from './Deliveries'
import { Programs } from './Programs'
import { ChangeWebhook, NewWebhook } from './WebhookForm'
import { WebhookView } from './WebhookView'

const server = vi.hoisted(() => ({
  readWebhooks: vi.fn(),
  readDeliveries: vi.fn(),
  addWebhook: vi.fn(),
  editWebhook: vi.fn(),
  actOnWebhook: vi.fn(),
  redeliver: vi.fn(),
  makeSecret: vi.fn(),
}))
vi.mock('../../../store/webhooks', () => server)

const WEBHOOK: Webhook = {
  id: 'w',
  created_at: '2026-05-01T10:00:00Z',
  changed_at: '2026-05-01T10:00:00Z',
  url: 'https://books.example.com/hook',
  label: 'Bookkeeping',
  kinds: ['invoice', 'gauge'],
  state: 'on',
  ready: false,
  former_until: null,
  failing_since: null,
  delivered_at: null,
}
const DELIVERY: WebhookDelivery = {
  id: 'd',
  created_at: '2026-05-01T10:00:00Z',
  changed_at: '2026-05-01T10:00:00Z',
  webhook_id: 'w',
  type: 'rows.changed',
  changes: [{ kind: 'invoice', id: 'i', deleted: false }],
  cursor: '1.2.3.',
  state: 'failed',
  tries: 10,
  next_at: null,
  status: 500,
  fault: 'refused',
  tried_at: '2026-05-04T10:00:00Z',
}

const type = (label: string, text: string) =>
  acting(() => {
    const name = [...root.querySelectorAll('label')].find((each) => each.textContent?.includes(label))
    const input = name?.htmlFor ? document.getElementById(name.htmlFor) : name?.querySelector('input')
    if (!(input instanceof HTMLInputElement)) throw new Error(`no field “${label}”`)
    input.value = text
    input.dispatchEvent(new InputEvent('input', { bubbles: true }))
  })
beforeEach(() => {
  server.readWebhooks.mockResolvedValue([WEBHOOK])
  server.readDeliveries.mockResolvedValue([DELIVERY])
  server.actOnWebhook.mockResolvedValue({ done: true })
})
afterEach(() => {
  vi.resetAllMocks()
})

test('the list says what each is and that nothing is sent without a secret', async () => {
  await shown(<Programs />)
  expect(root.textContent).toContain('Bookkeeping')
  expect(root.textContent).toContain(t.noSecret)
})

test('without signal it says so, and a press looks again', async () => {
  server.readWebhooks.mockRejectedValueOnce(new Error('no signal'))
  await shown(<Programs />)
  expect(root.querySelector('[role=alert]')?.textContent).toContain(t.unreached)
  await press('Try again')
  expect(root.textContent).toContain('Bookkeeping')
})

test('a new address is sent with what was chosen; a refusal is shown at its field and nothing typed is lost', async () => {
  const words = 'This address is inside a private network.'
  server.addWebhook.mockResolvedValue({ done: false, words, fields: [{ field: 'url', words }] })
  await shown(<NewWebhook />)
  await save()
  expect(server.addWebhook).not.toHaveBeenCalled()
  expect(root.textContent).toContain(t.missingUrl)
  await type(t.url, 'https://10.0.0.1/')
  await save()
  expect(server.addWebhook.mock.calls[0]?.[1]).toEqual({ url: 'https://10.0.0.1/', label: '', kinds: [] })
  expect(root.textContent).toContain(words)
  expect(root.querySelector('input')?.value).toBe('https://10.0.0.1/')
})

test('kinds that another program chose stay when the address is edited', async () => {
  server.editWebhook.mockResolvedValue({ done: true })
  await shown(<ChangeWebhook id="w" />)
  await save()
  expect(server.editWebhook.mock.calls[0]).toEqual([
    'w',
    { url: WEBHOOK.url, label: 'Bookkeeping', kinds: ['invoice', 'gauge'] },
  ])
})

test('a secret is shown when it is made, and a test can be sent once there is one', async () => {
  server.makeSecret.mockResolvedValue({ value: 'whsec_abc' })
  await shown(<WebhookView id="w" />)
  expect(root.textContent).not.toContain(t.test)
  server.readWebhooks.mockResolvedValue([{ ...WEBHOOK, ready: true }])
  await press(t.makeSecret)
  expect(root.textContent).toContain('whsec_abc')
  expect(root.textContent).toContain(t.secretOnce)
  await press(t.test)
  expect(server.actOnWebhook).toHaveBeenCalledWith('w', 'test')
})

test('a webhook that was turned off by failing says so and can be turned on', async () => {
  server.readWebhooks.mockResolvedValue([
    { ...WEBHOOK, ready: true, state: 'failing', failing_since: '2026-05-01T10:00:00Z' },
  ])
  await shown(<WebhookView id="w" />)
  expect(root.textContent).toContain(t.states.failing)
  await press(t.turnOn)
  expect(server.actOnWebhook).toHaveBeenCalledWith('w', 'on')
})

test('a delivery shows how it ended and is sent again', async () => {
  server.redeliver.mockResolvedValue({ done: true })
  await shown(<Deliveries id="w" />)
  expect(root.textContent).toContain(t.changes(1))
  for (const words of [t.deliveryStates.failed, t.answered(500), t.tries(10), t.faults['refused']])
    expect(root.textContent).toContain(words)
  await press(t.again)
  expect(server.redeliver).toHaveBeenCalledWith('d')
  expect(server.readDeliveries).toHaveBeenCalledTimes(2)
})
