/** The rules of RFC 4180, section 2, and of OWASP, "CSV Injection" (the characters a formula begins with). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { csvText } from './csv'

test.each([
  ['plain', 'plain'],
  ['', ''],
  [null, ''],
  ['a,b', '"a,b"'],
  ['say "no"', '"say ""no"""'],
  ['two\nlines', '"two\nlines"'],
  ['two\r\nlines', '"two\r\nlines"'],
  [1250.5, '1250.5'],
  // A number is no formula.
  [-20, '-20'],
  ['=1+1', "'=1+1"],
  ['+1 208 555 0142', '+1 208 555 0142'],
  ['+1 (208) 555-0142', '+1 (208) 555-0142'],
  ['+1', "'+1"],
  ['+1 208 555 0142+A1', "'+1 208 555 0142+A1"],
  ['+1 208 555 0142\n=1', '"\'+1 208 555 0142\n=1"'],
  ['-1 208 555 0142', "'-1 208 555 0142"],
  ['-1', "'-1"],
  ['@SUM(A1)', "'@SUM(A1)"],
  ['\t=1', "'\t=1"],
  ['\r=1', '"\'\r=1"'],
  ['=HYPERLINK("a","b")', '"\'=HYPERLINK(""a"",""b"")"'],
  ['a=b', 'a=b'],
  ['Núñez', 'Núñez'],
])('%j is written as %j', (value, text) => {
  expect(csvText([[value]])).toBe(`${text}\r\n`)
})

const vectors = new URL('../../../../../fixtures/csv_cells/cells.json', import.meta.url)

/** Run by the server as well (`tests/customers/test_plain_cells.py`). */
test.each<[string, string]>(JSON.parse(readFileSync(vectors, 'utf8')))(
  '%j is no formula',
  (text, written) => {
    const quoted = /[",\r\n]/u.test(written) ? `"${written.replaceAll('"', '""')}"` : written
    expect(csvText([[text]])).toBe(`${quoted}\r\n`)
  },
)

test('every record ends its line, the last one too', () => {
  expect(
    csvText([
      ['Job', 'Due'],
      ['J-1', '2026-12-03'],
    ]),
  ).toBe('Job,Due\r\nJ-1,2026-12-03\r\n')
})
