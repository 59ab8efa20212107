/** The vectors of `fixtures/billing/transfer_codes.json`, which the server's twin runs as well (`test_transfers.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { type Transfer, transferCode } from './transferCode.ts'

const at = new URL('../../../../fixtures/billing/transfer_codes.json', import.meta.url)
const vectors: (Transfer & { expect: string | null })[] = JSON.parse(readFileSync(at, 'utf8'))

test.each(vectors)('$name, $minor $currency', ({ expect: wanted, ...transfer }) => {
  expect(transferCode(transfer)).toBe(wanted)
})

test('the longest values stay within 331 bytes', () => {
  for (const letter of ['N', 'ü', '鍋']) {
    const long = {
      name: letter.repeat(200),
      text: letter.repeat(400),
      iban: 'D'.repeat(34),
      bic: 'COBADEFF123',
    }
    const code = transferCode({ ...long, currency: 'EUR', minor: 99_999_999_999 })
    expect(new TextEncoder().encode(code ?? '').length).toBeLessThanOrEqual(331)
  }
})
