import { afterEach, beforeEach, expect, test } from 'vitest'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { findingsOf, recordFinding } from './findings'
import { saveIntake } from './intake'

let phone: Phone

beforeEach(async () => {
  phone = await Phone.open(new FakeServer())
})
afterEach(() => phone.close())

test('findings are listed by rank, then as they were written', async () => {
  const job_id = await saveIntake({ customer: { name: 'Otis Quill' }, machine: { kind: 'mower' } })
  for (const [words, rank] of [
    ['Tires cracked', 'advised'],
    ['Belt worn', 'needed'],
    ['Seat switch sticks', 'safety'],
    ['Blade bent', 'needed'],
    ['Guard missing', 'safety'],
    ['Shown by a newer server', 'newer'],
  ] as const)
    await recordFinding({ job_id, words, rank: rank as never })
  expect(findingsOf(job_id).map(({ words }) => words)).toEqual([
    'Seat switch sticks',
    'Guard missing',
    'Belt worn',
    'Blade bent',
    'Tires cracked',
    'Shown by a newer server',
  ])
})
