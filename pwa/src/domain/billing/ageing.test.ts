/** The vectors of `fixtures/billing/ageing.json`, which the server's twin runs as well (`test_days.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { bucketOf } from './ageing.ts'

interface Vector {
  today: string
  amounts: [due: string | null, minor: number][]
  expect: Record<string, number>
}

const at = new URL('../../../../fixtures/billing/ageing.json', import.meta.url)
const vectors: Vector[] = JSON.parse(readFileSync(at, 'utf8'))

test.each(vectors)('$amounts on $today', ({ today, amounts, expect: wanted }) => {
  const sums: Record<string, number> = {}
  for (const [due, minor] of amounts) {
    const bucket = bucketOf(due, minor, today)
    sums[bucket] = (sums[bucket] ?? 0) + minor
  }
  expect(sums).toEqual(wanted)
})
