import fc from 'fast-check'
import { expect, test } from 'vitest'
import { type Command, KINDS, type Kind, type Row, type Rows } from '../../domain/contract'
import { DEFAULTS } from '../../domain/contractDefaults'
import { basis } from '../fakes/book'
import { command, IDS, id, uuid, words } from '../fakes/commands'
import type { EntryStatus, OutboxEntry } from '../queue/entry'
import { loadReplays } from '../replay/replay'
import { RowsView } from './view'

await loadReplays()

const WHO = { member_id: 'member', device_id: 'device' }
type Step =
  | { do: 'save'; command: Command }
  | { do: 'answer'; status: EntryStatus }
  | { do: 'pull'; acked: number; rows: (readonly [Kind, string, Row | null])[] }

const step: fc.Arbitrary<Step> = fc.oneof(
  { weight: 4, arbitrary: command.map((command): Step => ({ do: 'save', command })) },
  {
    weight: 1,
    arbitrary: fc
      .constantFrom<EntryStatus>('sent', 'applied', 'held', 'rejected')
      .map((status): Step => ({ do: 'answer', status })),
  },
  {
    weight: 2,
    arbitrary: fc
      .record({
        acked: fc.nat(3),
        changes: fc.array(fc.tuple(fc.constantFrom(...KINDS), id, words, fc.boolean()), { maxLength: 3 }),
      })
      .map(
        ({ acked, changes }): Step => ({
          do: 'pull',
          acked,
          rows: changes.map(
            ([kind, id, words, gone]) => [kind, id, gone ? null : row(kind, id, words)] as const,
          ),
        }),
      ),
  },
)

test('I11: after any sequence of saves, answers and pulls the view is the base with all pending commands replayed', () => {
  fc.assert(
    fc.property(fc.array(step, { maxLength: 40 }), (steps) => {
      const view = new RowsView(WHO)
      const base = new Map<string, readonly [Kind, string, Row]>()
      let outbox: OutboxEntry[] = []
      let no = 0
      for (const step of steps) {
        if (step.do === 'save') {
          const fresh = entry(++no, step.command)
          outbox = [...outbox, fresh]
          view.append([fresh])
        } else {
          if (step.do === 'answer')
            outbox = outbox.map((one) => (one.status === 'waiting' ? { ...one, status: step.status } : one))
          else {
            outbox = outbox.slice(step.acked)
            for (const [kind, id, row] of step.rows)
              if (row) base.set(`${kind} ${id}`, [kind, id, row])
              else base.delete(`${kind} ${id}`)
          }
          view.refresh({ rows: step.do === 'pull' ? step.rows : [], outbox })
        }
        const whole = new RowsView(WHO)
        whole.replaceAll({ rows: [...base.values()], outbox })
        expect(everything(view)).toEqual(everything(whole))
        expectFamilies(view)
      }
    }),
    { numRuns: 300 },
  )
}, 60_000)

test('a pending value stays on top of an older one from the server until it is acknowledged', () => {
  const view = new RowsView(WHO)
  const named = (name: string) => row('customer', 'a', name)
  view.replaceAll({ rows: [['customer', 'a', named('server')]], outbox: [] })
  const mine = entry(1, {
    name: 'edit_customer',
    args: { id: 'a', base: { name: 'server' }, set: { name: 'mine' } },
  })
  const seen: (string | undefined)[] = []
  const look = () => seen.push(view.get('customer', 'a')?.name)
  view.append([mine])
  look()
  view.refresh({ rows: [['customer', 'a', named('other phone')]], outbox: [{ ...mine, status: 'sent' }] })
  look()
  view.refresh({ rows: [['customer', 'a', named('mine')]], outbox: [{ ...mine, status: 'applied' }] })
  look()
  view.refresh({ rows: [], outbox: [] })
  look()
  expect(seen).toEqual(['mine', 'mine', 'mine', 'mine'])
  view.refresh({ rows: [['customer', 'a', named('later')]], outbox: [] })
  expect(view.get('customer', 'a')?.name).toBe('later')
})

test('a refused change is not shown any more', () => {
  const view = new RowsView(WHO)
  const mine = entry(1, { name: 'add_customer', args: { id: 'a', name: 'mine' } })
  view.append([mine])
  expect(view.all('customer')).toHaveLength(1)
  view.refresh({ rows: [], outbox: [{ ...mine, status: 'rejected' }] })
  expect(view.all('customer')).toEqual([])
  expect(view.outbox.value.map(({ status }) => status)).toEqual(['rejected'])
})

test('the totals of a draft follow its lines, those of a decision the accepted ones', () => {
  const view = new RowsView(WHO)
  const run = (...commands: Command[]) => view.append(commands.map((one, at) => entry(at + 1, one)))
  const line = (id: string, hours: string): Command => ({
    name: 'put_quote_line',
    args: {
      id: uuid(id),
      quote_id: 'q',
      finding_id: null,
      position: 1,
      kind: 'labor',
      rank: 'needed',
      words: id,
      hours,
    },
  })
  run(
    { name: 'add_customer', args: { id: 'c', name: 'Ada' } },
    { name: 'open_job', args: { id: 'j', customer_id: 'c', machine_id: 'm', mark: 'B-1' } },
    { name: 'draft_quote', args: { id: 'q', job_id: 'j', kind: 'first', mark: 'B-2', basis } },
    line('1', '1'),
    line('2', '2'),
  )
  const hour = basis.labor_rates[0]?.minor_per_hour ?? 0
  expect(view.get('quote', 'q')?.totals?.subtotal_minor).toBe(3 * hour)
  run({ name: 'remove_quote_line', args: { id: uuid('2') } }, line('1', '4'), line('3', '1'))
  expect(view.get('quote', 'q')?.totals?.subtotal_minor).toBe(5 * hour)
  const shown = { shop: 's', customer: 'Ada', machine: 'm', exempt: false }
  run({
    name: 'offer_quote',
    args: { id: 'q', valid_until: '2026-06-01', digest: 'd', total_minor: 0, shown },
  })
  expect(view.get('job', 'j')?.waits_on).toEqual(['approval'])
  run({
    name: 'decide_quote',
    args: {
      id: 'y',
      quote_id: 'q',
      revision: 1,
      how: 'glass',
      decided_by_name: 'Ada',
      decided_at: '2026-05-01T10:00:00.000Z',
      zone: 'UTC',
      digest: 'd',
      accepted_ids: [uuid('3')],
      declined_ids: [uuid('1')],
    },
  })
  expect(view.get('approval', 'y')).toMatchObject({ matches: true, accepted_total_minor: hour })
  expect(view.get('quote', 'q')?.state).toBe('decided')
  expect(view.get('quote_line', uuid('1'))?.decided).toBe('declined')
  expect(view.get('quote_line', uuid('3'))?.decided).toBe('accepted')
  expect(view.get('job', 'j')?.waits_on).toEqual([])
})

test('a decision on another offer is stored and changes nothing', () => {
  const view = new RowsView(WHO)
  const shown = { shop: 's', customer: 'Ada', machine: 'm', exempt: false }
  const commands: Command[] = [
    { name: 'draft_quote', args: { id: 'q', job_id: 'j', kind: 'first', mark: 'B-2', basis } },
    { name: 'offer_quote', args: { id: 'q', valid_until: '2026-06-01', digest: 'd', total_minor: 0, shown } },
    {
      name: 'decide_quote',
      args: {
        id: 'y',
        quote_id: 'q',
        revision: 1,
        how: 'call',
        decided_by_name: 'Ada',
        decided_at: '2026-05-01T10:00:00.000Z',
        zone: 'UTC',
        digest: 'another',
        accepted_ids: [],
        declined_ids: [],
      },
    },
  ]
  view.append(commands.map((one, at) => entry(at + 1, one)))
  expect(view.get('approval', 'y')?.matches).toBe(false)
  expect(view.get('quote', 'q')?.state).toBe('offered')
})

function entry(no: number, command: Command): OutboxEntry {
  return {
    ...command,
    no,
    id: `command ${no}`,
    device_id: WHO.device_id,
    v: 1,
    wall: `2026-05-01T10:00:${String(no % 60).padStart(2, '0')}.000Z`,
    mono_ms: no,
    session: 's',
    made_words: '',
    status: 'waiting',
    code: null,
    words: null,
    fields: [],
    tries: 0,
  }
}

/** A server's row with enough fields for every replay. */
function row<K extends Kind>(kind: K, id: string, words: string): Rows[K] {
  return {
    ...DEFAULTS[kind],
    id,
    created_at: '2026-04-01T08:00:00.000Z',
    changed_at: '2026-04-01T08:00:00.000Z',
    name: words,
    words,
    customer_id: id,
    machine_id: id,
    job_id: id,
    quote_id: id,
    finding_id: null,
    waits_on: [],
    segment: 1,
    revision: 1,
    replaces_id: null,
    state: kind === 'issue' ? 'open' : 'draft',
    kind: kind === 'issue' ? 'conflict' : kind === 'quote_line' ? 'fee' : 'first',
    fixed_minor: kind === 'quote_line' ? 500 : undefined,
    position: 3,
    rank: 'needed',
    entity_kind: 'customer',
    entity_id: id,
    ours: { name: 'ours' },
    theirs: {},
    basis,
    discount: { percent: null, minor: null },
    shown: null,
    totals: null,
    ...(kind === 'price_book' && { prices: basis, confirmed: [] }),
  } as unknown as Rows[K]
}

function everything(view: RowsView): unknown {
  return Object.fromEntries(KINDS.map((kind) => [kind, sorted(view.all(kind))]))
}

/** An index look-up gives the same rows as a full scan. */
function expectFamilies(view: RowsView): void {
  for (const owner of IDS) {
    const jobs = view.all('job').filter((row) => row.machine_id === owner)
    const lines = view.all('quote_line').filter((row) => row.quote_id === owner)
    expect(sorted(view.where('job', 'machine_id', owner))).toEqual(sorted(jobs))
    expect(sorted(view.where('quote_line', 'quote_id', owner))).toEqual(sorted(lines))
  }
}

function sorted<R extends { id: string }>(rows: R[]): R[] {
  return rows.sort((a, b) => (a.id < b.id ? -1 : 1))
}

test('rows of a kind that this build has not are left out', () => {
  const view = new RowsView(WHO)
  view.refresh({
    rows: [
      ['owner_question' as Kind, 'a', row('customer', 'a', 'of an earlier build')],
      ['owner_question' as Kind, 'b', null],
      ['customer', 'a', row('customer', 'a', 'server')],
    ],
    outbox: [],
  })
  expect(view.all('customer')).toHaveLength(1)
})
