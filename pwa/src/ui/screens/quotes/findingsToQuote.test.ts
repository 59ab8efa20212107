// @vitest-environment happy-dom
import { afterEach, expect, test } from 'vitest'
import type { Finding, Quote, QuoteLine, Shop } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { moment } from '../../../domain/time'
import { newId } from '../../../store/browser/clock'
import { basis } from '../../../store/fakes/book'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { quote } from '../../../store/quotes'
import { shopSession } from '../../../store/session/shopSession'
import { dayOf } from '../../shopFormat'
import { findingsToQuote } from './findingsToQuote'

let phone: Phone | undefined

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
})

const born = { created_at: moment(Date.now()), changed_at: moment(Date.now()) }

async function open(states: Record<string, Quote['state']>) {
  const server = new FakeServer()
  server.put('shop', {
    ...born,
    id: 'shop',
    zone: 'America/Chicago',
    locale: 'en-US',
    currency: 'USD',
  } as Shop)
  for (const [id, state] of Object.entries({ mine: 'draft', ...states }))
    server.put('quote', { ...DEFAULTS.quote, ...born, id, job_id: 'job', state, basis } as unknown as Quote)
  for (const id of ['brake', 'belt', 'blade'])
    server.put('finding', { ...DEFAULTS.finding, ...born, id, job_id: 'job', decided: 'open' } as Finding)
  const line = (id: string, quote_id: string, finding_id: string, kind: string) =>
    server.put('quote_line', { ...DEFAULTS.quote_line, ...born, id, quote_id, finding_id, kind } as QuoteLine)
  line('1', 'mine', 'belt', 'part')
  line('2', 'other', 'brake', 'labor')
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
  const row = quote('mine')
  if (!row) throw new Error('the quote is there')
  const { unquoted, laborless } = findingsToQuote(row, [
    { finding_id: 'belt', kind: 'part' } as unknown as QuoteLine,
  ])
  return { unquoted: unquoted.map(({ id }) => id), laborless: laborless.map(({ id }) => id) }
}

test('a finding that another open quote of the job is about is not offered again', async () => {
  for (const state of ['draft', 'offered'] as const) {
    expect(await open({ other: state })).toEqual({ unquoted: ['blade'], laborless: ['belt'] })
    await phone?.close()
  }
})

test('a finding of a withdrawn quote is offered again', async () => {
  expect((await open({ other: 'withdrawn' })).unquoted.sort()).toEqual(['blade', 'brake'])
})

test('an instant of the evening has the day of the shop', async () => {
  await open({})
  expect(dayOf(moment(Date.parse('2026-11-30T01:16:00Z')))).toBe('2026-11-29')
})
