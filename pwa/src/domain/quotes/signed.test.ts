/** Offers shown before the calculation rules changed, as in `tests/quotes/test_signed_offers.py`. */
import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { canonical } from '../canonicalJson.ts'
import { offerDocument } from './offer.ts'
import { computeTotals } from './totals.ts'

const at = new URL('../../../../fixtures/pricing/signed.json', import.meta.url)
const { offers }: { offers: any[] } = JSON.parse(readFileSync(at, 'utf8'))

test.each(offers)('an offer signed before keeps its digest and its amounts: $expect.sha256', (offer) => {
  const { heading, basis, lines, discount, exempt } = offer
  const document = offerDocument({ ...heading, book: basis, lines, discount, exempt })
  const decided = computeTotals(basis, lines, { accepted: new Set(offer.accepted), discount, exempt })
  expect({
    sha256: createHash('sha256').update(canonical(document), 'utf8').digest('hex'),
    total: document.total_minor,
    tax: decided.tax.map(({ key, tax_minor }) => [key, tax_minor]),
    decided_net: decided.net_minor,
    decided_total: decided.total_minor,
    added: decided.added.map(({ key, amount_minor }) => [key, amount_minor]),
  }).toEqual(offer.expect)
})
