import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { PartNeed } from '../contract.ts'
import { needsToFollow } from './accepted.ts'
import { answerWithAlternative, waitsOnParts } from './needs.ts'

const read = (name: string): Record<string, any[]> =>
  JSON.parse(readFileSync(new URL(`../../../../fixtures/parts/${name}.json`, import.meta.url), 'utf8'))

test.each(read('needs')['waits'] ?? [])('waits: $name', ({ states, waits }) => {
  expect(waitsOnParts(states.map((state: PartNeed['state']) => ({ state })))).toBe(waits)
})

test.each(read('needs')['answers'] ?? [])('answer: $kept', ({ answer, alternative, kept }) => {
  expect(answerWithAlternative(answer, alternative)).toBe(kept)
})

const REST = { finding_id: null, cost_minor: null, agreed_minor: null, core_minor: 0 }

test.each(read('accepted') as unknown as any[])(
  'accepted: $name',
  ({ accepted, known, former, ...expected }) => {
    const found = needsToFollow(
      accepted.map(([line_id, number, description, quantity]: string[]) => ({
        line_id,
        number,
        description,
        quantity,
        ...REST,
      })),
      known.map(([id, line_id, number, description, state]: any[]) => ({
        id,
        line_id,
        number,
        description,
        state,
      })),
      new Set(former),
    )
    expect({
      name: expected.name,
      added: found.added.map(({ line_id }) => line_id),
      taken_over: [...found.takenOver].map(([id, { line_id }]) => [id, line_id]),
      cancelled: found.cancelled,
    }).toEqual(expected)
  },
)
