/** Every code that a calculator may give has words. */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { CALCULATORS } from '../bench/calculators/calculators.ts'
import { abouts, cautions, inputs, names, results, sources, stepText, verdictOf } from './calculators.ts'

interface Vectors {
  answers: {
    results: Record<string, string>
    verdict: string
    steps: { code: string; figures: Record<string, string> }[]
  }[]
}

const at = new URL('../../../../fixtures/bench/calculators.json', import.meta.url)
const { answers }: Vectors = JSON.parse(readFileSync(at, 'utf8'))

const missing = (codes: string[], table: object) => [...new Set(codes)].filter((code) => !(code in table))

test('calculators, their inputs, sources and results have words', () => {
  const all = Object.values(CALCULATORS)
  expect(missing(Object.keys(CALCULATORS), names)).toEqual([])
  expect(missing(Object.keys(CALCULATORS), abouts)).toEqual([])
  expect(missing(Object.keys(cautions), CALCULATORS)).toEqual([])
  expect(
    missing(
      all.flatMap((each) => each.inputs.map(({ name }) => name)),
      inputs,
    ),
  ).toEqual([])
  expect(
    missing(
      all.flatMap((each) => [...each.sources]),
      sources,
    ),
  ).toEqual([])
  const codes = answers.flatMap((each) => Object.keys(each.results)).filter((code) => !code.startsWith('in_'))
  expect(missing(codes, results)).toEqual([])
})

test('every verdict has words, and every step shows figures that it has', () => {
  for (const { verdict, steps } of answers) {
    if (verdict) expect(verdictOf(verdict)[1], verdict).not.toBe('')
    for (const { code, figures } of steps) {
      const asked: string[] = []
      const text = stepText(code, (name) => {
        asked.push(name)
        return figures[name] ?? '?'
      })
      expect(text, code).not.toBe(code.replaceAll('_', ' '))
      expect(missing(asked, figures), code).toEqual([])
    }
  }
})
