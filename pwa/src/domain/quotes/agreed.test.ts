/** The vectors of `fixtures/pricing/agreed.json`, which the server's twin runs as well (`test_agreed.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { agreedWork, type WorkedTime } from './agreed.ts'
import type { ShopPrices } from './book.ts'
import type { WrittenLine } from './lines.ts'

interface Vector {
  name: string
  quotes: { tolerance?: string; lines: Partial<WrittenLine>[]; accepted: number[] }[]
  clocked: {
    kind: WorkedTime['kind']
    member: string
    line?: number
    operation?: string
    hours?: string
    seconds?: number
  }[]
  parts_over?: number
  /** By number of a line of a replaced quote: the line that replaced it. */
  successors?: Record<string, number>
  expect: object
}

const at = new URL('../../../../fixtures/pricing/agreed.json', import.meta.url)
const { basis, vectors }: { basis: ShopPrices; vectors: Vector[] } = JSON.parse(readFileSync(at, 'utf8'))
const lineId = (number: number) => `00000000-0000-7000-8000-${String(number).padStart(12, '0')}`

test.each(vectors)('$name', (vector) => {
  const quotes = vector.quotes.map(({ tolerance, lines, accepted }, nth) => ({
    book: { ...basis, ...(tolerance !== undefined && { tolerance_percent: tolerance }) },
    lines: lines.map((line, before) => {
      const position = before + 1
      const id = lineId(100 * nth + position)
      return { id, position, rank: 'needed', words: 'Work', ...line } as WrittenLine
    }),
    accepted: new Set(accepted.map(lineId)),
    discount: null,
    exempt: false,
  }))
  const worked = vector.clocked.map(({ kind, member, line, operation, hours, seconds }) => ({
    kind,
    member_id: member,
    line_id: line === undefined ? null : lineId(line),
    operation: operation ?? '',
    seconds: seconds ?? Math.round(Number(hours) * 3600),
  }))
  const successors = new Map(
    Object.entries(vector.successors ?? {}).map(([line, by]) => [lineId(Number(line)), lineId(by)]),
  )
  expect(agreedWork(quotes, worked, basis, successors, vector.parts_over)).toEqual(vector.expect)
})
