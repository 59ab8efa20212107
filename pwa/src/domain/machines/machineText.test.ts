import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { machineText, shortCode } from './machineText'

const { codes } = JSON.parse(
  readFileSync(new URL('../../../../fixtures/machines/tags.json', import.meta.url), 'utf8'),
) as { codes: [id: string, code: string][] }

test.each(codes)('the tag of %s is printed as %s', (id, code) => {
  expect(shortCode(id)).toBe(code)
})

test('a machine has its serial in the language of the customer', () => {
  const tractor = { kind: 'tractor', make: 'Hartvale', model: 'GT 18', serial: '0042' }
  expect(machineText(tractor, 'en')).toBe('Hartvale GT 18 tractor, serial 0042')
  expect(machineText(tractor, 'es')).toBe('tractor Hartvale GT 18, n.º de serie 0042')
})
