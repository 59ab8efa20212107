import { afterEach, expect, test } from 'vitest'
import type { Quote, QuoteLine } from '../domain/contract'
import { hasDecided } from './agreed'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { shopSession } from './session/shopSession'

const born = { created_at: '2026-11-01T00:00:00Z', changed_at: '2026-11-01T00:00:00Z' }
let phone: Phone | undefined

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
})

/** A job's quotes, each a revision of the one before, with the answer to the one line of each. */
async function revisions(...answers: [Quote['state'], QuoteLine['decided']][]): Promise<void> {
  const server = new FakeServer()
  for (const [at, [state, decided]] of answers.entries()) {
    const replaces_id = at === 0 ? null : `quote ${at - 1}`
    server.put('quote', { ...born, id: `quote ${at}`, job_id: 'job', state, replaces_id } as Quote)
    server.put('quote_line', { ...born, id: `line ${at}`, quote_id: `quote ${at}`, decided } as QuoteLine)
  }
  phone = await Phone.open(server)
  await phone.sync()
  shopSession.value = phone.shop
}

test.each<[string, boolean, [Quote['state'], QuoteLine['decided']][]]>([
  ['nothing was decided', false, [['offered', 'open']]],
  ['a decided quote counts', true, [['decided', 'accepted']]],
  [
    'a decided quote counts beside undecided revisions',
    true,
    [
      ['decided', 'accepted'],
      ['replaced', 'open'],
      ['offered', 'open'],
    ],
  ],
  [
    'an offer that was replaced before anybody said anything',
    false,
    [
      ['replaced', 'open'],
      ['offered', 'open'],
    ],
  ],
])('%s: %s', async (_, holds, answers) => {
  await revisions(...answers)
  expect(hasDecided('job')).toBe(holds)
})
