/** The vectors of `fixtures/pricing`, which the server's twin runs as well (`test_rules_vectors.py`). */
import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import type { Rounding } from '../contract.ts'
import { exact, over } from '../numbers/decimal.ts'
import { roundHalf, sum } from '../numbers/money.ts'
import type { ShopPrices } from './book.ts'
import { compareOffers } from './changes.ts'
import { checkBook, checkLines } from './checks.ts'
import { laterTotal } from './later.ts'
import type { WrittenDiscount, WrittenLine } from './lines.ts'
import { type OfferedRevision, successorsOf } from './matching.ts'
import { questionsOf } from './questions.ts'
import { computeTotals } from './totals.ts'

interface Vector {
  name: string
  basis?: Partial<ShopPrices>
  tax?: object
  lines: Partial<WrittenLine>[]
  accepted?: number[]
  discount?: WrittenDiscount
  exempt?: boolean
  currency?: string
  expect: {
    refused: [string, string][]
    amounts: number[]
    line_taxes?: number[]
    added?: [string, number][]
    by_rank?: [number, number, number]
    net: number
    tax: [string, number, number][]
    total: number
    deposit?: number
  }
}

function read(name: string) {
  const at = new URL(`../../../../fixtures/pricing/${name}.json`, import.meta.url)
  return JSON.parse(readFileSync(at, 'utf8'))
}

function lineId(number: number): string {
  return `00000000-0000-7000-8000-${String(number).padStart(12, '0')}`
}

/** The vector's quote as it would travel, what it leaves out filled in. */
function quoteOf(basis: ShopPrices, vector: Omit<Vector, 'expect'>) {
  const book = { ...basis, ...vector.basis }
  if (vector.tax) book.tax_profiles = [{ ...basis.tax_profiles[0], ...vector.tax } as never]
  const lines = vector.lines.map((line, at) => {
    const number = at + 1
    return {
      id: lineId(number),
      position: number,
      rank: 'needed',
      words: `Line ${number}`,
      ...line,
    } as WrittenLine
  })
  const around = {
    accepted: vector.accepted ? new Set(vector.accepted.map(lineId)) : null,
    discount: vector.discount ?? null,
    currency: vector.currency ?? null,
    exempt: vector.exempt ?? false,
  }
  return { book, lines, around }
}

for (const name of ['outside', 'lines', 'sums']) {
  const { basis, vectors }: { basis: ShopPrices; vectors: Vector[] } = read(name)
  describe(`totals, ${name}`, () => {
    test.each(vectors)('$name', (vector) => {
      const { book, lines, around } = quoteOf(basis, vector)
      expect(checkBook(book)).toEqual([])
      expect(checkLines(book, lines, around)).toEqual([])
      const found = computeTotals(book, lines, around)
      const wanted = { line_taxes: [], added: [], deposit: 0, ...vector.expect }
      const byRank = wanted.by_rank ?? (vector.accepted ? null : [0, sum(wanted.amounts), 0])
      if (byRank) expect(Object.values(found.by_rank)).toEqual(byRank)
      expect({
        amounts: found.lines.map((line) => line.amount_minor),
        line_taxes: found.lines.flatMap((line) => (line.tax_minor === null ? [] : [line.tax_minor])),
        added: found.added.map((row) => [row.key, row.amount_minor]),
        net: found.net_minor,
        tax: found.tax.map((row) => [row.key, row.base_minor, row.tax_minor]),
        tax_minor: found.tax_minor,
        total: found.total_minor,
        deposit: found.deposit_minor,
        owed_after_deposit: found.owed_after_deposit_minor,
      }).toEqual({
        amounts: wanted.amounts,
        line_taxes: wanted.line_taxes,
        added: wanted.added,
        net: wanted.net,
        tax: wanted.tax,
        tax_minor: sum(wanted.tax.map(([, , tax]) => tax)),
        total: wanted.total,
        deposit: wanted.deposit,
        owed_after_deposit: wanted.total - wanted.deposit,
      })
    })
  })
}

describe('the same work done later', () => {
  const {
    basis,
    vectors,
  }: { basis: ShopPrices; vectors: (Omit<Vector, 'expect'> & { expect: number | null })[] } = read('later')
  test.each(vectors)('$name', ({ expect: total, ...vector }) => {
    const { book, lines, around } = quoteOf(basis, vector)
    expect(checkLines(book, lines, around)).toEqual([])
    expect(laterTotal(book, lines, around)).toBe(total)
  })
})

describe('what a customer is asked', () => {
  const { vectors } = read('questions') as {
    vectors: { name: string; lines: Parameters<typeof questionsOf>[0]; expect: unknown[] }[]
  }
  test.each(vectors)('$name', ({ lines, expect: expected }) => {
    const found = questionsOf(lines).map(({ key, rank, title, lines: own, amount, later, apartFrom }) => [
      key,
      rank,
      title,
      own.map(({ id }) => id),
      amount,
      later,
      apartFrom,
    ])
    expect(found).toEqual(expected)
  })
})

describe('changes of a revision', () => {
  type Lines = Parameters<typeof compareOffers>[0]
  const { vectors } = read('changes') as {
    vectors: {
      name: string
      before: Lines
      after: Lines
      accepted: string[]
      declined: string[]
      expect: unknown[]
    }[]
  }
  test.each(vectors)('$name', ({ before, after, accepted, declined, expect: expected }) => {
    const answers = { accepted: new Set(accepted), declined: new Set(declined) }
    const found = compareOffers(before, after, answers).map((one) => [
      one.question.key,
      one.change,
      one.before,
      one.answer,
      one.lines.map((each) => [each.line.id, each.change, each.before]),
    ])
    expect(found).toEqual(expected)
  })
})

describe('lines that replaced others', () => {
  const { chains } = read('changes') as {
    chains: { name: string; revisions: OfferedRevision[]; expect: object }[]
  }
  test.each(chains)('$name', ({ revisions, expect: expected }) => {
    expect(Object.fromEntries(successorsOf(revisions))).toEqual(expected)
  })
})

describe('refused with field and code', () => {
  const { basis, vectors }: { basis: ShopPrices; vectors: Vector[] } = read('refusals')
  test.each(vectors)('$name', (vector) => {
    const { book, lines, around } = quoteOf(basis, vector)
    const wrongBook = checkBook(book)
    const refused = wrongBook.length ? wrongBook : checkLines(book, lines, around)
    expect(refused.map(({ field, code }) => [field, code])).toEqual(vector.expect.refused)
  })
})

describe('roundHalf', () => {
  const { vectors } = read('rounding') as {
    vectors: { exact: string; rounding: Rounding; expect: number; source: string }[]
  }
  test.each(vectors)('$exact $rounding: $expect ($source)', (vector) => {
    expect(roundHalf(exact(vector.exact), vector.rounding)).toBe(vector.expect)
    // The same figure in other terms.
    expect(roundHalf(over(exact(vector.exact), exact('1.00')), vector.rounding)).toBe(vector.expect)
  })
})
