/** The calculators. The vectors of `fixtures/bench` are run by the server as well (`tests/bench/test_calculators.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { asShown } from '../../numbers/quantities.ts'
import type { Calculator, Figure, Figures } from './answers.ts'
import { CALCULATORS } from './calculators.ts'
import { calculate } from './inputs.ts'
import { torquePlausible } from './threads.ts'

interface Case {
  calculator: string
  given: Record<string, string>
}
interface Vectors {
  inputs: Record<string, { name: string; quantities: string[]; choices: string[]; optional: boolean }[]>
  sources: Record<string, string[]>
  maker_first: Record<string, boolean>
  answers: (Case & {
    results: Record<string, string>
    verdict: string
    steps: { code: string; figures: Record<string, string> }[]
  })[]
  refusals: (Case & { faults: Record<string, string> })[]
}

const at = new URL('../../../../../fixtures/bench/calculators.json', import.meta.url)
const vectors: Vectors = JSON.parse(readFileSync(at, 'utf8'))
const all: Readonly<Record<string, Calculator>> = CALCULATORS

function answer({ calculator, given }: Case) {
  const found = all[calculator]
  if (!found) throw new Error(calculator)
  return calculate(found, given)
}

const text = ({ value, unit }: Figure) => `${asShown(value, 12)} ${unit}`.trim()
const texts = (figures: Figures) =>
  Object.fromEntries(Object.entries(figures).map(([name, figure]) => [name, text(figure)]))

test.each(vectors.answers)('$calculator $given', (each) => {
  const found = answer(each)
  if ('faults' in found) throw new Error(JSON.stringify(found))
  expect(texts(found.results)).toEqual(each.results)
  // The main result is the first one.
  expect(Object.keys(found.results)).toEqual(Object.keys(each.results))
  expect(found.verdict).toBe(each.verdict)
  expect(found.steps.map(({ code, figures }) => ({ code, figures: texts(figures) }))).toEqual(each.steps)
})

test.each(vectors.refusals)('$calculator refuses $given', (each) => {
  expect(answer(each)).toEqual({ faults: each.faults })
})

test('inputs and sources are declared as on the server', () => {
  const inputs = Object.entries(all).map(([name, calculator]) => [
    name,
    calculator.inputs.map(({ name, quantities = [], choices = [], optional = false }) => ({
      name,
      quantities,
      choices,
      optional,
    })),
  ])
  expect(Object.fromEntries(inputs)).toEqual(vectors.inputs)
  expect(Object.keys(all)).toEqual(Object.keys(vectors.inputs))
  const of = (key: 'sources' | 'makerFirst') =>
    Object.fromEntries(Object.entries(all).map(([name, calculator]) => [name, calculator[key]]))
  expect(of('sources')).toEqual(vectors.sources)
  expect(of('makerFirst')).toEqual(vectors.maker_first)
})

test('a torque is judged by thread and grade as a mechanic writes them', () => {
  expect(torquePlausible('M8', '8.8', '25', 'N.m')).toBe('plausible')
  expect(torquePlausible('M8 × 1.25', '8.8', '25', 'lbf.in')).toBe('too_low')
  expect(torquePlausible('3/8-16', 'Grade 5', '90', 'lbf.ft')).toBe('too_high')
  expect(torquePlausible('M8', 'A2-70', '25', 'N.m')).toBeNull()
  expect(torquePlausible('M9', '8.8', '25', 'N.m')).toBeNull()
  expect(torquePlausible('M8', '8.8', '25', 'N')).toBeNull()
})
