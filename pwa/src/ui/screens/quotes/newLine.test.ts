// @vitest-environment happy-dom
import { afterEach, expect, test } from 'vitest'
import type { IntakeTerms, Quote, QuoteLine, Shop } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { moment } from '../../../domain/time'
import { newId } from '../../../store/browser/clock'
import { basis } from '../../../store/fakes/book'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { shopSession } from '../../../store/session/shopSession'
import { firstLine } from './newLine'

let phone: Phone | undefined

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
})

const born = { created_at: moment(Date.now()), changed_at: moment(Date.now()) }
const quote = {
  id: 'quote',
  job_id: 'job',
  basis: { ...basis, diagnosis_fee_minor: 6500 },
} as unknown as Quote

/** A new fee line on a job whose customer accepted a fee at intake, on a quote with these lines. */
async function newFee(accepted: number | null, lines: readonly Partial<QuoteLine>[] = []) {
  const server = new FakeServer()
  server.put('shop', { ...born, id: 'shop', zone: 'UTC', locale: 'en-US', currency: 'USD' } as Shop)
  server.put('intake_terms', {
    ...DEFAULTS.intake_terms,
    ...born,
    id: 'terms',
    job_id: 'job',
    diagnosis_fee_minor: accepted,
  } as IntakeTerms)
  for (const line of lines)
    server.put('quote_line', { ...DEFAULTS.quote_line, ...born, quote_id: 'quote', ...line } as QuoteLine)
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
  const { words, asked, priced, price } = firstLine(quote, 'fee', { findingId: '', workId: '' }, 'mower')
  return { words, asked, priced, price }
}

test('a fee accepted at intake is charged as agreed, by the price book', async () => {
  expect(await newFee(6500)).toEqual({ words: 'Diagnosis', asked: 'agreed', priced: 'book', price: '65.00' })
})

test('where the price book has changed since, the accepted fee stands', async () => {
  expect(await newFee(5000)).toEqual({ words: 'Diagnosis', asked: 'agreed', priced: 'set', price: '50.00' })
})

test('without one, and where it is charged already, a fee is asked as any other', async () => {
  const asked = { words: '', asked: 'yes', priced: 'set', price: '' }
  expect(await newFee(null)).toEqual(asked)
  await phone?.close()
  expect(await newFee(6500, [{ id: 'line', kind: 'fee', work: 'diagnosis' }])).toEqual(asked)
})
