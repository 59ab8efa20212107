/** Measures as typed. The vectors of `fixtures/measures` are run by the server as well (`tests/core/test_units.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { Units } from '../contract.ts'
import { exactOf, type MeasureQuantity, measureText, readMeasure, wholeOf } from './measures.ts'

interface Vectors {
  cases: { typed: string; whole: number; exact: string }[]
  not_measures: string[]
}

const at = new URL('../../../../fixtures/measures/typed.json', import.meta.url)
const vectors: Vectors = JSON.parse(readFileSync(at, 'utf8'))

const plain = (text: string) => (/^-?\d+(\.\d+)?$/u.test(text) ? text : null)

/** The text of the field after typed text was stored in a row and read again. */
function backFrom(text: string, quantity: MeasureQuantity, units: Units): string {
  const measure = readMeasure(text, quantity, units, plain)
  return measure ? measureText(measure, quantity, units, '.') : 'refused'
}

test.each(vectors.cases)('$typed', ({ typed, whole, exact }) => {
  expect(wholeOf(typed)).toBe(whole)
  expect(exactOf(whole, typed)).toBeCloseTo(Number(exact), 9)
})

test('what is no measure has no figure', () => {
  expect(vectors.not_measures.map(wholeOf)).toEqual(vectors.not_measures.map(() => null))
})

test('every whole pound and kilogram to 20,000 comes back as typed', () => {
  const changed: string[] = []
  for (let amount = 1; amount <= 20_000; amount++) {
    const text = String(amount)
    if (backFrom(text, 'weight', 'us') !== text) changed.push(`${text} lb`)
    if (backFrom(text, 'weight', 'metric') !== text) changed.push(`${text} kg`)
  }
  expect(changed).toEqual([])
})

test('every quarter inch, foot and centimetre comes back as typed', () => {
  const changed: string[] = []
  for (let quarter = 1; quarter <= 4 * 1181; quarter++) {
    const text = String(quarter / 4)
    if (backFrom(text, 'length', 'us') !== text) changed.push(`${text} in`)
  }
  for (let feet = 1; feet <= 98; feet++) {
    const text = `${feet} ft`
    if (backFrom(text, 'length', 'us') !== text) changed.push(text)
    if (backFrom(text, 'length', 'metric') !== text) changed.push(`${text}, metric`)
  }
  for (let cm = 1; cm <= 3_000; cm++) {
    if (backFrom(String(cm), 'length', 'metric') !== String(cm)) changed.push(`${cm} cm`)
  }
  expect(changed).toEqual([])
})

test('a unit may be written with it, and stays where it is not the shop’s own', () => {
  expect(readMeasure('16ft', 'length', 'us', plain)).toEqual({ whole: 488, typed: '16 ft' })
  expect(backFrom('408 KG', 'weight', 'us')).toBe('408 kg')
  expect(backFrom('900 lb', 'weight', 'us')).toBe('900')
  expect(readMeasure('900 lb', 'length', 'us', plain)).toBeUndefined()
  expect(readMeasure('0', 'weight', 'us', plain)).toBeUndefined()
  expect(readMeasure(' ', 'weight', 'us', plain)).toBeNull()
})

test('what was typed counts only while it belongs to the whole number beside it', () => {
  expect(measureText({ whole: 408, typed: '900 lb' }, 'weight', 'us', '.')).toBe('900')
  expect(measureText({ whole: 500, typed: '900 lb' }, 'weight', 'us', '.')).toBe('1102')
  expect(exactOf(500, '900 lb')).toBe(500)
  // A shop that writes a decimal comma reads one.
  expect(measureText({ whole: 62, typed: '24.25 in' }, 'length', 'us', ',')).toBe('24,25')
})
