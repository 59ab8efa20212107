import { expect, test } from 'vitest'
import type { Command, Kind, Row } from '../../domain/contract'
import { namesOfCommands } from './rowNames'
import { RowsView } from './view'

const view = new RowsView({ member_id: 'm', device_id: 'd' })
const rows = [
  ['customer', { id: 'ada', name: 'Ada Quill' }],
  ['machine', { id: 'mower', kind: 'mower', make: 'Fennwick', model: 'G14' }],
  ['machine', { id: 'saw', kind: 'chainsaw', make: '', model: '' }],
  ['job', { id: 'job', number: 'J-0007', mark: 'B-7', customer_id: 'ada', machine_id: 'mower' }],
  ['finding', { id: 'belt', job_id: 'job', words: 'Belt is worn' }],
  ['rig', { id: 'rig', name: 'Flatbed' }],
  ['run', { id: 'run', rig_id: 'rig', day: '2026-05-01' }],
  ['attachment', { id: 'photo', about_kind: 'finding', about_id: 'belt', caption: 'Left side' }],
] as unknown as [Kind, Row][]
view.refresh({ rows: rows.map(([kind, row]) => [kind, row.id, row] as const), outbox: [] })

const named = (...commands: [string, object][]) =>
  namesOfCommands(view, commands.map(([name, args]) => ({ name, args })) as unknown as Command[])

test('a command is named after its row, and a row after its parent', () => {
  expect(
    named(
      ['remove_customer', { id: 'ada' }],
      ['edit_machine', { id: 'saw', base: {}, set: { kind: 'saw' } }],
      ['move_job', { id: 'job', stage: 'repair' }],
      ['lock_run', { id: 'run' }],
      ['remove_attachment', { id: 'photo' }],
      ['print_tags', { id: 'new', machine_ids: ['mower', 'saw'] }],
    ),
  ).toEqual([
    'Ada Quill',
    'chainsaw',
    'J-0007 · Ada Quill',
    'Flatbed · 2026-05-01',
    'J-0007 · Ada Quill · Belt is worn · Left side',
    'Fennwick G14 · chainsaw',
  ])
})

test('a row created by an earlier command has a name too', () => {
  const names = named(
    ['add_customer', { id: 'new', name: 'Otis Bell' }],
    ['open_job', { id: 'his', customer_id: 'new', machine_id: 'saw', mark: 'B-8' }],
    ['add_complaint', { id: 'c', job_id: 'his', words: 'Stalls' }],
  )
  expect(names).toEqual(['Otis Bell', 'B-8 · Otis Bell · chainsaw', 'B-8 · Otis Bell · chainsaw · Stalls'])
})

test('a kind without an entry in the table uses its name, an unknown row has none', () => {
  expect(named(['repair_rig', { id: 'rig' }], ['invite_member', { id: 'x', name: 'Miriam' }])).toEqual([
    'Flatbed',
    'Miriam',
  ])
  expect(named(['repair_rig', { id: 'gone' }], ['turn_on_push', { id: 'y', endpoint: 'z' }])).toEqual([
    '',
    '',
  ])
})
