import { describe, expect, test } from 'vitest'
import { type KnownWork, matchWork } from './workMatch'

const known = (operation: string, machine_kind: string, jobs: number): KnownWork => ({
  operation,
  machine_kind,
  minutes: Array.from({ length: jobs }, () => 30),
  reworked: 0,
})

const works = [
  known('carburetor clean', 'garden tractor', 12),
  known('carburetor replace', 'garden tractor', 3),
  known('carburetor replace', 'chipper', 90),
  known('deck belt', 'lawn tractor', 9),
  known('oil change', 'tiller', 20),
]

describe('the work a finding speaks of', () => {
  test.each([
    ['Deck drive belt is cracked', 'deck belt'],
    ['DECK BELTS glazed', 'deck belt'],
    ['Oil is black', 'oil change'],
    ['The spindle bearing is loose', null],
    ['Boil marks on the housing', null],
    ['', null],
  ])('%s', (text, work) => expect(matchWork(text, works, 'garden tractor')).toBe(work))

  test('among equals the one done most on such machines', () => {
    expect(matchWork('Carb is gummed up', works, 'Garden tractor')).toBe('carburetor clean')
    expect(matchWork('Carb is gummed up', works, 'chipper')).toBe('carburetor replace')
  })
  test('more words in common go before more jobs', () => {
    expect(matchWork('Carburetor is past it, replace', works, 'garden tractor')).toBe('carburetor replace')
  })
})
