import { afterEach, beforeEach, expect, test } from 'vitest'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { saveIntake } from '../../../store/intake'
import { searchEverything } from '../../../store/search/everything'
import { shopSession } from '../../../store/session/shopSession'
import type { KeyBinding } from '../../keys'
import { actHits, rowHits } from './hits'
import { lastSearches, rememberSearch } from './lastSearches'

let phone: Phone

beforeEach(async () => {
  phone = await Phone.open(new FakeServer())
  await saveIntake({
    customer: { name: 'Miriam Quill', phone: '(208) 555-0134' },
    machine: { kind: 'garden tractor', make: 'Fennwick', model: 'G-14', serial: 'FW 88-1203' },
  })
})
afterEach(async () => {
  shopSession.value = null
  await phone.close()
})

const act = (keys: string[], label: string): KeyBinding => ({ keys, label, act: () => undefined })
const ACTS = [
  act(['n'], 'New job'),
  act(['g h'], 'Go to Hours'),
  act([], 'Stop the clock'),
  act(['t'], 'Text'),
]

const rows = (query: string) =>
  rowHits(searchEverything(query), query).flatMap(({ kind, hits }) =>
    hits.map(({ title, why }) => [kind, title, ...(why ?? []).map((each) => each.join(': '))]),
  )
const acts = (query: string) =>
  actHits(ACTS, searchEverything(query), query).flatMap(({ hits }) =>
    hits.map(({ title, keys }) => [title, keys]),
  )

test('a row says by what it was found where its line does not show it', () => {
  expect(rows('0134')).toEqual([
    ['customer', 'Miriam Quill'],
    ['job', expect.stringContaining('Miriam Quill, Fennwick G-14 garden tractor'), 'phone: (208) 555-0134'],
    ['machine', 'Fennwick G-14 garden tractor', 'phone: (208) 555-0134'],
  ])
  expect(rows('quill 1203')).toEqual([
    ['machine', 'Fennwick G-14 garden tractor'],
    ['job', expect.stringContaining('Miriam Quill'), 'serial: FW 88-1203'],
  ])
})

test('what can be done is found by its words, a screen also as opened', () => {
  expect(acts('new job')).toEqual([['New job', 'n']])
  expect(acts('stop clock')).toEqual([['Stop the clock', undefined]])
  expect(acts('open hours')).toEqual([['Go to Hours', 'g h']])
  expect(acts('open text')).toEqual([])
  expect(acts('zebra')).toEqual([])
})

test('a customer that is found can be given a new job', () => {
  expect(acts('mir')).toEqual([['New job for Miriam Quill', undefined]])
})

test('the last searches are listed once, newest first, and not for the next member', () => {
  for (const text of ['one', 'two', 'one']) rememberSearch(text)
  expect(lastSearches()).toEqual(['one', 'two'])
  shopSession.value = null
  expect(lastSearches()).toEqual([])
})
