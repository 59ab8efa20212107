// @vitest-environment happy-dom
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { apiKeys as t } from '../../../domain/words/apiKeys'
import type { ApiKey } from '../../../store/apiKeys'
import { session } from '../../../store/session/session'
import { acting, press, root, save, shown } from '../../fakes/askedScreen'
import { NewKey } from './KeyForm'
import { Keys } from './Keys'
import { KeyView } from './KeyView'

const server = vi.hoisted(() => ({
  readApiKeys: vi.fn(),
  addApiKey: vi.fn(),
  makeApiKeyValue: vi.fn(),
  revokeApiKey: vi.fn(),
}))
vi.mock('../../../store/apiKeys', () => server)

const KEY: ApiKey = {
  id: 'k',
  created_at: '2026-05-01T10:00:00Z',
  changed_at: '2026-05-01T10:00:00Z',
  member_id: 'm',
  label: 'Website',
  permissions: ['read', 'manage_customers'],
  ready: false,
  expires_at: null,
  revoked_at: null,
  last_used_on: null,
}

const nobody = session.peek()
beforeEach(() => {
  session.value = { ...nobody, state: 'signed_in', permissions: ['read', 'bill', 'manage_members'] }
  server.readApiKeys.mockResolvedValue([KEY])
})
afterEach(() => {
  session.value = nobody
  vi.resetAllMocks()
})

test('the list says whether a key works, was never shown, or is over, and puts those last', async () => {
  server.readApiKeys.mockResolvedValue([
    { ...KEY, id: '1', label: 'Old', revoked_at: '2026-05-02T10:00:00Z' },
    { ...KEY, id: '2', label: 'Past', ready: true, expires_at: '2020-05-02T10:00:00Z' },
    KEY,
    { ...KEY, id: '3', label: 'Live', ready: true },
  ])
  await shown(<Keys />)
  const rows = [...root.querySelectorAll('.list li')].map((each) => each.textContent)
  expect(rows).toEqual([`Website${t.unshown}`, `Live${t.works}`, `Old${t.revoked}`, `Past${t.ended}`])
})

test('only what the person can do is offered, and a refusal is shown at its field', async () => {
  server.addApiKey.mockResolvedValue({
    done: false,
    words: '',
    fields: [{ field: 'permissions', words: 'No.' }],
  })
  await shown(<NewKey />)
  const offered = [...root.querySelectorAll<HTMLInputElement>('input[type=checkbox]')].map(
    (each) => each.value,
  )
  expect(offered).toEqual(['read', 'bill', 'manage_members'])
  await save()
  expect(root.textContent).toContain(t.missingLabel)
  await acting(() => {
    const input = root.querySelector<HTMLInputElement>('input:not([type=checkbox])')
    if (!input) throw new Error('no field')
    input.value = 'Website'
    input.dispatchEvent(new InputEvent('input', { bubbles: true }))
  })
  await save()
  expect(server.addApiKey.mock.calls[0]?.[1]).toEqual({
    label: 'Website',
    permissions: ['read'],
    expires_at: null,
  })
  expect(root.textContent).toContain('No.')
})

test('a key is shown once, and revoked', async () => {
  server.makeApiKeyValue.mockResolvedValue({ value: 'abc-def' })
  server.revokeApiKey.mockResolvedValue({ done: true })
  await shown(<KeyView id="k" />)
  expect(root.textContent).toContain(t.permissions['manage_customers'])
  await press(t.show)
  expect(root.textContent).toContain('abc-def')
  await press(t.revoke)
  expect(server.revokeApiKey).toHaveBeenCalledWith('k')
})
