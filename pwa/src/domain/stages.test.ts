import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { JOB_TRANSITIONS } from './stages'

test('jobs move here as they do on the server', () => {
  const rules = readFileSync(new URL('../../../shopapi/jobs/rules.py', import.meta.url), 'utf8')
  const table = rules.match(/JOB_TRANSITIONS[^{]*\{([\s\S]*?)\n\}/)?.[1] ?? ''
  const server = Object.fromEntries(
    [...table.matchAll(/Stage\.(\w+): frozenset\(\{([^}]*)\}\)/g)].map(([, from = '', to = '']) => [
      from.toLowerCase(),
      [...to.matchAll(/Stage\.(\w+)/g)].map(([, stage = '']) => stage.toLowerCase()),
    ]),
  )
  expect(server).toEqual(JOB_TRANSITIONS)
})
