// @vitest-environment happy-dom
import { render } from 'preact'
import { expect, test } from 'vitest'
import { unbroken } from './unbroken'

function parts(text: string): { all: string; kept: (string | null)[] } {
  const root = document.createElement('p')
  render(unbroken(text), root)
  return {
    all: root.textContent ?? '',
    kept: [...root.querySelectorAll('.unbroken')].map(({ textContent }) => textContent),
  }
}

test.each([
  ['PO-1001, Tollgate Parts, Dec 8, 2026, J-1068, $6.80 each', ['PO-1001', 'J-1068']],
  ['INV-1053 · Patrice Hollins', ['INV-1053']],
  ['B-61-I1 · draft', ['B-61-I1']],
  ['No number at all', []],
  ['(555) 014-2210', []],
  ['zero-turn mower', []],
])('“%s” keeps %j on one line, and reads as before', (text, kept) => {
  expect(parts(text)).toEqual({ all: text, kept })
})
