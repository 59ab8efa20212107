import { expect, test } from 'vitest'
import { clock } from './words/clock'
import { clockFace } from './words/clockFace'
import { decisions, ranks } from './words/finding'
import { quote } from './words/quote'
import { kinds, runStates } from './words/runSummaries'
import { failures, needs, priorities, states } from './words/stopLabels'
import { stages } from './words/today'

const TABLES = {
  stages,
  ranks,
  decisions,
  quoteStates: quote.states,
  lineKinds: quote.kinds,
  stopKinds: kinds,
  runStates,
  stopStates: states,
  failures,
  needs,
  priorities,
  clockKinds: clockFace.kinds,
  entryKinds: clock.kinds,
}

test.each(Object.entries(TABLES))('%s: a value that no phone knows reads as its own text', (_, table) => {
  const words = table as Record<string, string>
  expect(words['never_heard_of']).toBe('never heard of')
  for (const [value, text] of Object.entries(words)) {
    expect(words[value]).toBe(text)
    expect(typeof text).toBe('string')
  }
  expect(Object.keys(words).length).toBeGreaterThan(1)
})
