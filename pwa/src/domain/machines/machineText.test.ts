import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { shortCode } from './machineText'

const { codes } = JSON.parse(
  readFileSync(new URL('../../../../fixtures/machines/tags.json', import.meta.url), 'utf8'),
) as { codes: [id: string, code: string][] }

test.each(codes)('the tag of %s is printed as %s', (id, code) => {
  expect(shortCode(id)).toBe(code)
})
