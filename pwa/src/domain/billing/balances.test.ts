/** The vectors of `fixtures/billing/balances.json`, which the server's twin runs as well (`test_balances.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { balanceOf, tooMuch } from './balances.ts'

interface Vector {
  name: string
  dues: number[]
  entries: [invoice: number | null, minor: number][]
  agreed: number
  is_deposit: boolean
  expect: object
}

const at = new URL('../../../../fixtures/billing/balances.json', import.meta.url)
const vectors: Vector[] = JSON.parse(readFileSync(at, 'utf8'))
const invoice = (nth: number | null) => (nth === null ? null : `invoice ${nth}`)

test.each(vectors)('$name', ({ dues, entries, agreed, is_deposit, expect: wanted }) => {
  const balance = balanceOf(
    dues.map((minor, nth) => ({ invoice_id: `invoice ${nth}`, minor })),
    entries.map(([nth, minor]) => ({ invoice_id: invoice(nth), minor })),
  )
  expect({ ...balance, too_much: tooMuch(balance, agreed, is_deposit) }).toEqual(wanted)
})
