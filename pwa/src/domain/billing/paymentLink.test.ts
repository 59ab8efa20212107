/** The vectors of `fixtures/billing/payment_links.json`, which the server's twin runs as well. */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { type Payable, paymentLink } from './paymentLink.ts'

const at = new URL('../../../../fixtures/billing/payment_links.json', import.meta.url)
const vectors: (Payable & { template: string; expect: string })[] = JSON.parse(readFileSync(at, 'utf8'))

test.each(vectors)('$template', ({ template, expect: wanted, ...of }) => {
  expect(paymentLink(template, of)).toBe(wanted)
})
