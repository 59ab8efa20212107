/** The cases of `fixtures/notices/wordings.json`, which the server runs as well (`test_rules.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { words } from '../words/noticeSettings'
import { sorts } from '../words/noticeTypes'
import { checkWording, fill, type Sort, type WordingChannel } from './templates'

interface Fixture {
  sorts: Record<string, Sort>
  checked: { key: string; channel: WordingChannel; subject: string; body: string; faults: string[] }[]
}
const at = new URL('../../../../fixtures/notices/wordings.json', import.meta.url)
const fixture = JSON.parse(readFileSync(at, 'utf8')) as Fixture

test('the messages, their fields and their first words are those of the server', () => {
  expect(sorts).toEqual(fixture.sorts)
})

test.each(fixture.checked)(
  '$key by $channel: “$subject”, $faults',
  ({ key, channel, faults, ...wording }) => {
    const sort = sorts[key]
    expect(sort && Object.keys(checkWording(sort, channel, wording)).sort()).toEqual(faults)
  },
)

test('every message and every field has a name in plain words', () => {
  for (const [key, { examples }] of Object.entries(sorts)) {
    expect(words.sorts[key], key).toBeTruthy()
    for (const field of Object.keys(examples)) expect(words.fields[field], field).toBeTruthy()
  }
})

test('a value in braces is not filled in again', () => {
  expect(fill('{customer}: {total}', { customer: '{total}', total: '$5' })).toBe('{total}: $5')
})
