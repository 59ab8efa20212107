import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { canonicalize } from '../canonicalJson.ts'
import { offerDocument } from './offer.ts'
import { computeTotals } from './totals.ts'

const fixture = JSON.parse(
  readFileSync(new URL('../../../../fixtures/pricing/offer.json', import.meta.url), 'utf8'),
)
const { basis: book, lines, discount, exempt } = fixture
const offer = { ...fixture.heading, book, lines, discount, exempt }

test('an offer has the canonical form of the fixture', () => {
  const spelled = canonicalize(offerDocument(offer))
  expect(spelled).toBe(fixture.canonical)
  expect(createHash('sha256').update(spelled, 'utf8').digest('hex')).toBe(fixture.sha256)
})

test('an offer is the same where costs are hidden', () => {
  const units = new Map(computeTotals(book, lines).lines.map((line) => [line.id, line.unit_minor]))
  const hidden = lines.map(({ unit_cost_minor, ...line }: { id: string; unit_cost_minor?: number }) =>
    unit_cost_minor === undefined ? line : { ...line, unit_price_minor: units.get(line.id) },
  )
  const bare = { ...book, part_bands: [] }
  expect(canonicalize(offerDocument({ ...offer, book: bare, lines: hidden }))).toBe(fixture.canonical)
})
