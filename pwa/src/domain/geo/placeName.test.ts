import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { placeName, typedPair } from './places'

interface Vector {
  label: string
  address: string
  access_notes: string
  lat: string | null
  lon: string | null
  name: string
}
const at = new URL('../../../../fixtures/dispatch/place_names.json', import.meta.url)
const vectors: Vector[] = JSON.parse(readFileSync(at, 'utf8'))

test.each(vectors)('a place known as %o has that name', ({ name, ...known }) => {
  expect(placeName(known.label, known.address, known.access_notes, typedPair(known))).toBe(name)
})
