/** The cases of `fixtures/notices/wordings.json`, which the server runs as well (`test_rules.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { words } from '../words/noticeSettings'
import { messageTypes } from '../words/noticeTypes'
import { checkWording, fill, type MessageType, type WordingChannel } from './templates'

interface Fixture {
  message_types: Record<string, MessageType>
  checked: { key: string; channel: WordingChannel; subject: string; body: string; faults: string[] }[]
}
const at = new URL('../../../../fixtures/notices/wordings.json', import.meta.url)
const fixture = JSON.parse(readFileSync(at, 'utf8')) as Fixture

test('the messages, their fields and their first words are those of the server', () => {
  expect(messageTypes).toEqual(fixture.message_types)
})

test.each(fixture.checked)(
  '$key by $channel: “$subject”, $faults',
  ({ key, channel, faults, ...wording }) => {
    const type = messageTypes[key]
    expect(type && Object.keys(checkWording(type, channel, wording)).sort()).toEqual(faults)
  },
)

test('every message and every field has a name in plain words', () => {
  for (const [key, { examples }] of Object.entries(messageTypes)) {
    expect(words.types[key], key).toBeTruthy()
    for (const field of Object.keys(examples)) expect(words.fields[field], field).toBeTruthy()
  }
})

test('a value in braces is not filled in again', () => {
  expect(fill('{customer}: {total}', { customer: '{total}', total: '$5' })).toBe('{total}: $5')
})
