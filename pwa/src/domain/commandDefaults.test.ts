import { expect, test } from 'vitest'
import { withDefaults } from './commandDefaults'

test('an argument that was left out is what the server takes it for', () => {
  const given = { id: 'plan', days: ['2026-05-01'], seed: 7 }
  expect(withDefaults('request_plan', given)).toEqual({ ...given, seconds: 5, rounds: null, from_now: false })
})

test('a command that leaves nothing out stays as it is', () => {
  expect(withDefaults('cancel_plan', { id: 'plan' })).toEqual({ id: 'plan' })
})
