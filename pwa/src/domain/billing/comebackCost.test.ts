/** The vectors of `fixtures/billing/comeback_costs.json`, which the server's twin runs as well (`test_comebacks.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { type ComebackSpent, comebackCost } from './comebackCost.ts'

const at = new URL('../../../../fixtures/billing/comeback_costs.json', import.meta.url)
const vectors: (ComebackSpent & { expect: object })[] = JSON.parse(readFileSync(at, 'utf8'))

test.each(vectors)('$seconds s at $hour_minor an hour', ({ expect: wanted, ...spent }) => {
  expect(comebackCost(spent)).toEqual(wanted)
})
