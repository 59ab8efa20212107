// @vitest-environment happy-dom
/** Every screen, with each enum of each row at an unknown value of a newer server: shown as its text, no error. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest'
import { KINDS, type Kind, PERMISSIONS, PRICE_PARTS, type Row, type Rows } from '../domain/contract'
import { en } from '../domain/words'
import { basis as plainBasis } from '../store/fakes/book'
import { Phone } from '../store/fakes/phone'
import { FakeServer } from '../store/fakes/server'
import { session } from '../store/session/session'
import { shopSession } from '../store/session/shopSession'
import { customerMode } from './customerMode'
import { preloadLazy } from './lazy'
import { renderRoute } from './renderRoute'
import { currentRoute, parseRoute } from './router'
import { CustomerModeScreen } from './screens/customerMode/CustomerModeScreen'
import { ROUTES } from './screens/routes'

/** A Wednesday noon in Idaho, set before the screens are loaded. */
const NOW = vi.hoisted(() => {
  const now = '2026-05-06T18:00:00.000Z'
  vi.useFakeTimers({ toFake: ['Date'], now: new Date(now) })
  return now
})

/** The server's list of members. */
vi.mock('../store/members', async (original) => {
  const members = () => shopSession.value?.view.all('member') ?? []
  return {
    ...(await original<object>()),
    readMembers: async () => members().map((row) => ({ ...row, phones: [] })),
    readInvited: async () => members().map((row) => ({ ...row, id: 'invited', email: '', expires_at: NOW })),
  }
})

interface Schema {
  $ref?: string
  enum?: string[]
  const?: string
  type?: string
  format?: string
  pattern?: string
  default?: unknown
  anyOf?: Schema[]
  oneOf?: Schema[]
  allOf?: Schema[]
  items?: Schema
  properties?: Record<string, Schema>
}
const contract = join(import.meta.dirname, '../../openapi/openapi.json')
const { schemas } = JSON.parse(readFileSync(contract, 'utf8')).components as {
  schemas: Record<string, Schema>
}

/** A schema with references resolved, without null. */
function bare(schema: Schema): Schema {
  if (schema.$ref) return bare(schemas[schema.$ref.replace(/.*\//u, '')] ?? {})
  const one = (schema.anyOf ?? schema.oneOf ?? schema.allOf)?.find(({ type }) => type !== 'null')
  return one ? bare(one) : schema
}

/** The path of every enum below a schema: "stage", "waits_on.0". */
function enumsIn(outer: Schema, path: string[] = []): string[][] {
  const schema = bare(outer)
  if (schema.enum) return [path]
  if (schema.items) return enumsIn(schema.items, [...path, '0'])
  return Object.entries(schema.properties ?? {}).flatMap(([name, each]) => enumsIn(each, [...path, name]))
}

const rowSchema = (kind: Kind): Schema => bare(bare(schemas['Rows'] ?? {}).properties?.[kind]?.items ?? {})

const TODAY = '2026-05-06'
const idOf = (kind: Kind) => `0197c000-0000-7000-8000-${String(KINDS.indexOf(kind)).padStart(12, '0')}`
const OTHER_IDS: Record<string, Kind> = {
  plan: 'plan_request',
  line: 'quote_line',
  link: 'approval_link',
  reading: 'meter_reading',
}
const CLOCKS = /^(?:\w+_)?(?:opens|closes|quiet_from|quiet_until)$/u

/** A sample value of a schema: the first of an enum, never null. `name` is its field, in `of`. */
function sample(outer: Schema, name: string, of: Kind): unknown {
  const { enum: values, const: only, type, format, items, properties, pattern } = bare(outer)
  if (values ?? only) return values?.[0] ?? only
  if (format === 'uuid') {
    const kind = name.replace(/_ids?$/u, '') as Kind
    return idOf(name === 'id' ? of : KINDS.includes(kind) ? kind : (OTHER_IDS[kind] ?? 'member'))
  }
  if (format === 'date') return TODAY
  if (format === 'date-time') return NOW
  if (items) return [sample(items, name, of)]
  if (properties)
    return Object.fromEntries(Object.entries(properties).map(([each, its]) => [each, sample(its, each, of)]))
  if (type === 'object') return {}
  if (type === 'array') return []
  if (type === 'boolean') return false
  if (type !== 'string') return 1
  if (CLOCKS.test(name)) return '08:00'
  return name.endsWith('_typed') ? '' : format === 'decimal' || pattern ? '1' : `some ${name}`
}

const rates = ['labor', 'part'].map((key) => ({ key, label: key, percent: '5', of: [key] }))
/** With two rates, each for some kinds of line. */
const basis = {
  ...plainBasis,
  tax_profiles: plainBasis.tax_profiles.map((profile) => ({ ...profile, rates })),
}
type FieldValues = { readonly [K in Kind]?: Partial<Record<keyof Rows[K], unknown>> }
const about = (kind: Kind) => ({ about_kind: kind, about_id: idOf(kind) })
const labor = {
  operation: null,
  rate_key: null,
  work: null,
  fixed_minor: 9000,
  hours: null,
  quantity: null,
  distance: null,
}
const PLAIN = { unit_cost_minor: null, unit_price_minor: null, core_minor: null, zone_key: null }
const NO_OFF = { discount_percent: null, discount_minor: null }
/** Rows that the screens need beyond sample values: a shop with a day's work, nothing begun. */
const MORNING: FieldValues = {
  price_book: { prices: basis, confirmed: PRICE_PARTS },
  shop: { zone: 'America/Boise', locale: 'en-US', currency: 'USD' },
  member: { active: true },
  finding: { again_of_id: null },
  time_entry: { started_at: '2026-05-06T17:00:00.000Z', ended_at: null, corrects_id: null, repairs_id: null },
  quote: { basis, discount: { percent: null, minor: null }, replaces_id: null },
  quote_line: { ...labor, ...PLAIN, ...NO_OFF, taxed: null, later_minor: null },
  approval_link: { expires_at: '2026-05-30T18:00:00.000Z', used_at: null, revoked_at: null },
  rig: { active: true, out_at: null },
  stop: { pin_rig_id: null, pin_after_id: null, again_of_id: null, run_id: null },
  issue: { entity_kind: 'customer' },
  attachment: about('job'),
  notice: about('job'),
  follow_up: about('job'),
}
/** The same shop later in the day. */
const EVENING: FieldValues = {
  job: { stage: 'repair' },
  time_entry: { ...MORNING.time_entry, ended_at: NOW, state: 'closed', anomaly: null },
  quote: { ...MORNING.quote, state: 'offered' },
  run: { state: 'driving', ended_at: null },
  stop: { ...MORNING.stop, state: 'planned', run_id: idOf('run') },
  plan_request: { state: 'done', taken_at: null },
  printout: { state: 'ready' },
  issue: { ...MORNING.issue, kind: 'held', state: 'resolved' },
  attachment: { ...MORNING.attachment, state: 'ready' },
  notice: { ...about('quote'), template: 'approval_request' },
}
const WORLDS = { morning: MORNING, evening: { ...MORNING, ...EVENING } }

const rowOf = (kind: Kind, values: FieldValues) =>
  ({ ...(sample(rowSchema(kind), '', kind) as Row), ...values[kind] }) as Row

/** A copy with another value at a path. */
function changed(whole: unknown, [first, ...rest]: readonly string[], value: unknown): unknown {
  if (first === undefined) return value
  const copy = Array.isArray(whole) ? [...whole] : { ...(whole as object) }
  return Object.assign(copy, { [first]: changed((whole as Record<string, unknown>)[first], rest, value) })
}

const OF_PATH: Record<string, Kind> = {
  'check-lists': 'check_list',
  times: 'time_entry',
  requests: 'approval_link',
  pictures: 'attachment',
}
const VALUES: Record<string, string> = { lineId: idOf('quote_line'), kind: 'part', of: 'week' }
/** Every screen that has an address, with the one row of its kind. */
const SCREENS = Object.entries(ROUTES).map(([at, [pattern]]) => {
  const [path = ''] = pattern.split('?')
  const first = path.split('/')[1] ?? ''
  const kind = OF_PATH[first] ?? (first.replace(/s$/u, '') as Kind)
  const id = first === 'wordings' ? 'approval_request' : idOf(kind)
  const filled = path.replace(/:(\w+)(?:\((\w+)[^)]*\))?/gu, (_, name, word) => word ?? VALUES[name] ?? id)
  return [at, filled] as const
})

/** Fields whose value must be shown as its text; other fields only decide what else is shown. */
const READ_AT: Record<string, string[]> = {
  'member.role': ['members', 'member'],
  'job.stage': ['jobs', 'customer', 'job', 'job-stage'],
  'finding.rank': ['job', 'finding-ask'],
  'finding.decided': ['job'],
  'reading.verdict': ['reading'],
  'time_entry.kind': ['job', 'time-fix', 'time-settle', 'my-time', 'report'],
  'time_entry.anomaly': ['time-fix'],
  'time_entry.cause': ['my-time'],
  'quote.state': ['job', 'quote'],
  'quote.pdf.state': ['quote'],
  'quote_line.kind': ['quote'],
  'quote_line.rank': ['quote', 'customer-mode'],
  'approval.how': ['quote'],
  'approval_link.channel': ['quote', 'request'],
  'run.state': ['plan', 'run'],
  'stop.kind': ['today', 'job', 'plan', 'run', 'stop', 'stop-move', 'stop-hand'],
  'stop.needs.0': ['stop'],
  'stop.priority': ['plan'],
  'stop.state': ['job', 'run', 'stop'],
  'stop.failure': ['stop'],
  'hand_over.condition.0.state': ['stop-hand-over-record'],
  'hand_over.meter_anomaly': ['stop-hand-over-record'],
  'hand_over.fuel': ['stop-hand-over-record'],
  'plan_request.state': ['plan'],
  'plan_request.answer.roads': ['plan'],
  'notice.channel': ['job'],
  'notice.state': ['job', 'request'],
}

const FIELDS = KINDS.flatMap((kind) =>
  enumsIn(rowSchema(kind)).map((path) => [`${kind}.${path.join('.')}`, kind, path] as const),
)
const root = document.createElement('div')
document.body.append(root)
let phone: Phone
/** The fields that the screen being shown has read, and on which screens a field was read, or read as its text. */
let readNow = new Set<string>()
const readAt = new Map<string, Set<string>>()
const seenAt = new Map<string, Set<string>>()

/**
 * A row that notes which of its fields are read. A screen that does not read a field is the same for all its values, so
 * only the screens that read it need to be shown with an unknown one.
 */
function watched<T>(value: T, path: string): T {
  if (typeof value !== 'object' || value === null) return value
  const inner = new Map<string | symbol, unknown>()
  return new Proxy(value, {
    get(whole, key) {
      const found: unknown = Reflect.get(whole, key)
      const at = `${path}.${String(key)}`
      readNow.add(at)
      // The same object each time, as without a proxy.
      if (!inner.has(key)) inner.set(key, typeof found === 'function' ? found : watched(found, at))
      return inner.get(key)
    },
  })
}

const lay = (kind: Kind, row: Row) => phone.shop.view.refresh({ rows: [[kind, row.id, row]], outbox: [] })

/** The text of a screen; fails on a value without a text. */
async function shown(at: string): Promise<string> {
  const screens = Object.fromEntries(SCREENS)
  currentRoute.value = parseRoute(new URL(screens[at] ?? '/', 'https://shop.example'))
  await act(async () => {
    render(at === 'customer-mode' ? <CustomerModeScreen /> : renderRoute(currentRoute.value), root)
    await new Promise((done) => setTimeout(done, 0))
  })
  // Requests of the mounted screen have been answered by the next turn.
  await act(() => new Promise((done) => setTimeout(done, 0)))
  const { innerHTML, textContent } = root
  await act(() => render(null, root))
  expect(innerHTML, at).not.toMatch(/undefined|\[object|NaN|Invalid/u)
  return textContent ?? ''
}

beforeAll(async () => {
  phone = await Phone.open(new FakeServer(), { shop_id: idOf('shop'), member_id: idOf('member') })
  // It has all records, else pages that add them up would wait.
  await phone.sync()
  vi.stubGlobal('fetch', () => Promise.reject(new TypeError('no signal')))
  shopSession.value = phone.shop
  const member = { id: idOf('member'), name: 'Bram Aldous', role: 'owner' } as const
  session.value = { ...session.peek(), state: 'signed_in', member, permissions: PERMISSIONS.owner }
  customerMode.value = { kind: 'quote', id: idOf('quote') }
  await preloadLazy()
  // Lazy components are present from the second render on.
  for (const [at] of SCREENS) await shown(at)
}, 120_000)
afterEach(() => render(null, root))
afterAll(async () => {
  vi.useRealTimers()
  vi.unstubAllGlobals()
  await phone.close()
})

test('the contract names the enums', () => {
  expect(FIELDS.length).toBeGreaterThan(50)
  const names = FIELDS.map(([name]): string => name)
  expect(Object.keys(READ_AT).filter((name) => !names.includes(name))).toEqual([])
})

describe.each(Object.entries(WORLDS))('in the %s', (_, world) => {
  // Fresh for each test, so that computed values read the rows again, and are recorded.
  beforeEach(() => {
    for (const kind of KINDS) lay(kind, rowOf(kind, world))
  })
  test.each([...SCREENS.map(([at]) => at), 'customer-mode'])('%s renders known values', async (at) => {
    // Before the rows are laid: what the indexes read decides on every screen which rows are found.
    readNow = new Set()
    for (const kind of KINDS) lay(kind, watched(rowOf(kind, world), kind))
    expect(await shown(at)).not.toContain(`${en.app.loading} …`)
    for (const name of readNow) readAt.set(name, (readAt.get(name) ?? new Set()).add(at))
  })
  test.each(FIELDS)('%s', async (name, kind, path) => {
    const row = rowOf(kind, world)
    lay(kind, changed(row, path, 'never_heard_of') as Row)
    try {
      for (const at of readAt.get(name) ?? [])
        if ((await shown(at)).includes('never heard of'))
          seenAt.set(name, (seenAt.get(name) ?? new Set()).add(at))
    } finally {
      lay(kind, row)
    }
  })
})

test.each(FIELDS)('%s is shown as its text', (name) => {
  expect([...(seenAt.get(name) ?? [])]).toEqual(expect.arrayContaining(READ_AT[name] ?? []))
})
