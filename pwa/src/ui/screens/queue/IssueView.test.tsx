// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test } from 'vitest'
import type { Issue, Member, Shop } from '../../../domain/contract'
import { moment } from '../../../domain/time'
import { newId } from '../../../store/browser/clock'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import type { OutboxEntry } from '../../../store/queue/entry'
import { enqueue } from '../../../store/queue/outbox'
import { session } from '../../../store/session/session'
import { shopSession } from '../../../store/session/shopSession'
import { IssueView } from './IssueView'
import { RefusedEntry } from './RefusedEntry'

const ME = '0197c000-0000-7000-8000-00000000000a'
const root = document.createElement('div')
document.body.append(root)
const at = moment(Date.parse('2026-05-01T12:00:00Z'))
const born = { created_at: at, changed_at: at }
let server: FakeServer
let phone: Phone

beforeEach(async () => {
  server = new FakeServer()
  const shop = { zone: 'America/Boise', week_start: 'monday', locale: 'en-US', currency: 'USD' }
  server.put('shop', { ...born, id: 'shop', ...shop } as Shop)
  server.put('member', { ...born, id: ME, name: 'Bram Aldous' } as Member)
  phone = await Phone.open(server, { shop_id: newId(), member_id: ME })
})

afterEach(async () => {
  await act(() => render(null, root))
  session.value = { ...session.peek(), permissions: [] }
  shopSession.value = null
  await phone.close()
})

async function shown(more: Partial<Issue>): Promise<string> {
  const row = {
    ...born,
    id: 'issue',
    kind: 'held',
    command_id: newId(),
    name: 'start_clock',
    entity_kind: 'command',
    entity_id: newId(),
    theirs: {},
    ours: { kind: 'repair', job_id: newId() },
    words: 'These hours are not booked.',
    state: 'open',
    choice: '',
    member_id: ME,
    ...more,
  }
  server.put('issue', row as Issue)
  await phone.sync()
  shopSession.value = phone.shop
  await act(() => render(<IssueView id="issue" />, root))
  return root.textContent ?? ''
}

const facts = () =>
  [...root.querySelectorAll('.description-list > div')].map((each) =>
    [...each.children].map((one) => one.textContent),
  )

test('a held clock shows its member, time, duration and job', async () => {
  await shown({
    theirs: {
      member: 'Bram Aldous',
      job: 'B-12 · Winnie Stroud · garden tractor',
      started_at: '2026-05-01T14:00:00+00:00',
      ended_at: '2026-05-01T16:15:00+00:00',
      seconds: 8100,
    },
  })
  const rows = facts()
  expect(rows.map(([name]) => name)).toEqual(['Whose time', 'For', 'From', 'Until', 'How long'])
  expect(rows[0]?.[1]).toBe('Bram Aldous')
  expect(rows[1]?.[1]).toBe('B-12 · Winnie Stroud · garden tractor')
  // 14:00 UTC is 8 in the morning in Boise, in summer.
  expect(rows[2]?.[1]).toMatch(/8:00/)
  expect(rows[3]?.[1]).toMatch(/10:15/)
  expect(rows[4]?.[1]).toBe('2 h 15 min')
})

test('a held clock without an end shows no duration', async () => {
  await shown({ theirs: { member: 'Bram Aldous', started_at: '2026-05-01T14:00:00+00:00' } })
  expect(facts().map(([name]) => name)).toEqual(['Whose time', 'From', 'Until'])
  expect(facts()[2]?.[1]).toBe('Not stopped yet')
})

test('any other held command shows its member', async () => {
  await shown({ name: 'add_complaint', ours: { words: 'It smokes' } })
  expect(facts()).toEqual([
    ['Entered by', 'Bram Aldous'],
    ['Words', 'It smokes'],
  ])
})

test('a settled issue shows how, without choices', async () => {
  const text = await shown({ state: 'resolved', choice: 'theirs' })
  expect(text).toContain('It was discarded.')
  expect(root.querySelectorAll('button')).toHaveLength(0)
})

test.each([
  ['device_retired', [], 0],
  ['membership_over', ['settle_issues'], 0],
  ['device_retired', ['manage_members'], 2],
  ['not_here_yet', ['settle_issues'], 2],
] as const)('%s is settled with %j by %i buttons', async (message, permissions, count) => {
  session.value = { ...session.peek(), permissions }
  const text = await shown({ name: 'add_complaint', message, words: 'The owner decides.' })
  expect(text).toContain('The owner decides.')
  expect(root.querySelectorAll('button')).toHaveLength(count)
})

test('a second settlement shows why it was refused, without choices', async () => {
  const entry = (code: string) =>
    ({
      id: newId(),
      name: 'settle_issue',
      made_words: '',
      fields: [],
      words: 'Ada settled this already.',
      code,
    }) as unknown as OutboxEntry
  await act(() => render(<RefusedEntry entry={entry('already_settled')} />, root))
  expect(root.textContent).toContain('Ada settled this already.')
  expect([...root.querySelectorAll('button')].map(({ textContent }) => textContent)).toHaveLength(1)
  await act(() => render(<RefusedEntry entry={entry('still_refused')} />, root))
  expect(root.querySelectorAll('button')).toHaveLength(2)
})

test('a second choice does not overwrite the first', async () => {
  await shown({ state: 'resolved', choice: 'theirs' })
  await phone.does(() => enqueue('settle_issue', { id: 'issue', choice: 'ours' }))
  await phone.quiet()
  expect(phone.shown().get('issue issue')).toMatchObject({ choice: 'theirs' })
})
