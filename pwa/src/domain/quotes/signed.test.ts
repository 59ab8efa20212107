/** Offers shown before the calculation rules changed, as in `tests/quotes/test_signed_offers.py`. */
import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { canonicalize, type Json } from '../canonicalJson.ts'
import { offerDocument } from './offer.ts'
import { computeTotals } from './totals.ts'

const at = new URL('../../../../fixtures/pricing/signed.json', import.meta.url)
const { offers }: { offers: any[] } = JSON.parse(readFileSync(at, 'utf8'))

/** An offer as apps before RFC 8785 hashed it: no form in its format, every text in Unicode form NFC. */
function asShownThen(document: object): Json {
  const text = JSON.stringify(document).replace('-rfc8785"', '"')
  return JSON.parse(text, (_key, value) => (typeof value === 'string' ? value.normalize('NFC') : value))
}

test.each(offers)('an offer signed before keeps its digest and its amounts: $expect.sha256', (offer) => {
  const { heading, basis, lines, discount, exempt } = offer
  const document = offerDocument({ ...heading, book: basis, lines, discount, exempt })
  const decided = computeTotals(basis, lines, { accepted: new Set(offer.accepted), discount, exempt })
  expect({
    sha256: createHash('sha256')
      .update(canonicalize(asShownThen(document)), 'utf8')
      .digest('hex'),
    total: document.total_minor,
    tax: decided.tax.map(({ key, tax_minor }) => [key, tax_minor]),
    decided_net: decided.net_minor,
    decided_total: decided.total_minor,
    added: decided.added.map(({ key, amount_minor }) => [key, amount_minor]),
  }).toEqual(offer.expect)
})
