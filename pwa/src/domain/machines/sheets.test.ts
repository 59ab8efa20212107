import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import type { Limit } from '../contract.ts'
import { compare, type Exact, exact, over } from '../numbers/decimal.ts'
import { boundsInSi, boundsOf, faultsOfLimit, limitSnapshot } from './limits.ts'
import { compareSerials, isSerialBetween } from './serials.ts'
import { faultsOfEntry, faultsOfSheet } from './sheetFaults.ts'
import { matchSheets } from './sheetMatching.ts'

const read = (name: string): any =>
  JSON.parse(readFileSync(new URL(`../../../../fixtures/machines/${name}.json`, import.meta.url), 'utf8'))

const pairs = (faults: readonly { field: string; code: string }[]) =>
  faults.map(({ field, code }) => [field, code]).sort()

describe('serial numbers', () => {
  const { ascending, same, between } = read('serials')
  test('have a natural order', () => {
    const shuffled = [...ascending].reverse().sort(compareSerials)
    expect(shuffled).toEqual(ascending)
    for (const [one, other] of same) expect(compareSerials(one, other)).toBe(0)
  })
  test.each<any>(between)('$serial from $from to $to', ({ serial, from, to, expect: inside }) => {
    expect(isSerialBetween(serial, from, to)).toBe(inside)
  })
})

test.each<any>(read('sheet_matching'))(
  'sheets for a machine: $name',
  ({ machine, sheets, expect: wanted }) => {
    const found = matchSheets(machine, sheets as any[])
    expect(found.map(({ sheet, fit, serialUnknown }) => [sheet.title, fit, serialUnknown])).toEqual(wanted)
  },
)

describe('limits', () => {
  const asExact = (text: string | null) => {
    const [n = '0', d = '1'] = (text ?? '').split('/')
    return text === null ? null : over(exact(n), exact(d))
  }
  const equal = (found: readonly (Exact | null)[], wanted: readonly (string | null)[]) =>
    wanted.every((text, index) => {
      const [one, other] = [found[index] ?? null, asExact(text)]
      return one === null || other === null ? one === other : compare(one, other) === 0
    })
  test.each<any>(read('limits'))('$name', ({ limit, faults, bounds, si }) => {
    expect(pairs(faultsOfLimit(limit))).toEqual(faults)
    if (faults.length) return
    expect(equal(boundsOf(limit), bounds)).toBe(true)
    expect(equal(boundsInSi(limit), si)).toBe(true)
  })
  test('a snapshot has the figures, the id and the version', () => {
    const row = { id: 'l', version: 3, unit: 'in', nominal: '0.016', tolerance: '0.008', sheet_id: 's' }
    expect(limitSnapshot(row as Limit)).toMatchObject({ limit_id: 'l', version: 3, nominal: '0.016' })
    expect(limitSnapshot(row as Limit)).not.toHaveProperty('sheet_id')
  })
})

test.each<any>(read('sheets').sheets)('faults of a sheet: $faults', ({ row, faults }) => {
  expect(pairs(faultsOfSheet(row))).toEqual(faults)
})

test.each<any>(read('sheets').entries)('faults of an entry: $row.kind, $faults', ({ row, faults }) => {
  expect(pairs(faultsOfEntry(row))).toEqual(faults)
})
