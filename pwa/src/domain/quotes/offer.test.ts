import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { canonical, NotCanonical } from '../canonicalJson.ts'
import { offerDocument } from './offer.ts'
import { computeTotals } from './totals.ts'

const fixture = JSON.parse(
  readFileSync(new URL('../../../../fixtures/pricing/offer.json', import.meta.url), 'utf8'),
)
const { basis: book, lines, discount, exempt } = fixture
const offer = { ...fixture.heading, book, lines, discount, exempt }

test('an offer is spelled as in the fixture', () => {
  const spelled = canonical(offerDocument(offer))
  expect(spelled).toBe(fixture.canonical)
  expect(createHash('sha256').update(spelled, 'utf8').digest('hex')).toBe(fixture.sha256)
})

test('an offer is the same where costs are hidden', () => {
  const units = new Map(computeTotals(book, lines).lines.map((line) => [line.id, line.unit_minor]))
  const hidden = lines.map(({ unit_cost_minor, ...line }: { id: string; unit_cost_minor?: number }) =>
    unit_cost_minor === undefined ? line : { ...line, unit_price_minor: units.get(line.id) },
  )
  const bare = { ...book, part_bands: [] }
  expect(canonical(offerDocument({ ...offer, book: bare, lines: hidden }))).toBe(fixture.canonical)
})

test.each([
  [{ a: [1, 0.5] }, 'a.1', 'not_json'],
  [{ a: Number.NaN }, 'a', 'not_json'],
  [{ a: undefined }, 'a', 'not_json'],
  [{ é: 1 }, '', 'key_not_ascii'],
  [[2 ** 53], '0', 'number_too_large'],
  ['\ud800', '', 'unstorable_text'],
  [{ a: 'x\0' }, 'a', 'unstorable_text'],
])('%j has no one spelling', (document, path, code) => {
  try {
    canonical(document as never)
  } catch (error) {
    expect(error).toBeInstanceOf(NotCanonical)
    expect(error).toMatchObject({ path, code })
    return
  }
  expect.unreachable()
})
