import { afterEach, expect, test } from 'vitest'
import type { Quote, QuoteLine } from '../domain/contract'
import { newId } from './browser/clock'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { partsOfJob } from './partsOfJob'
import { shopSession } from './session/shopSession'

const born = { created_at: '2026-04-01T08:00:00Z', changed_at: '2026-04-01T08:00:00Z' }
let phone: Phone | undefined

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
})

test('parts stand as their quotes do; replaced and withdrawn quotes and undecided revisions are left out', async () => {
  const server = new FakeServer()
  const put = (
    id: string,
    state: Quote['state'],
    decided: QuoteLine['decided'],
    replaces_id: string | null = null,
  ) => {
    server.put('quote', { ...born, id, job_id: 'job', state, replaces_id } as Quote)
    for (const kind of ['part', 'labor'] as const)
      server.put('quote_line', {
        ...born,
        id: `${id}-${kind}`,
        quote_id: id,
        kind,
        words: id,
        decided,
        position: 0,
      } as QuoteLine)
  }
  put('signed', 'decided', 'accepted')
  put('refused', 'decided', 'declined')
  put('asked', 'offered', 'open')
  put('written', 'draft', 'open')
  put('gone', 'withdrawn', 'open')
  put('old', 'replaced', 'accepted')
  put('revision', 'offered', 'open', 'signed')
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
  expect(Object.fromEntries(partsOfJob('job').map(({ line, state }) => [line.words, state]))).toEqual({
    signed: 'approved',
    refused: 'declined',
    asked: 'asked',
    written: 'draft',
  })
})
