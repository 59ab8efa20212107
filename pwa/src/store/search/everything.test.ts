import { afterEach, beforeEach, expect, test } from 'vitest'
import type { Customer, Job, Machine, Quote, Site, Stop } from '../../domain/contract'
import { Phone } from '../fakes/phone'
import { customerRow } from '../fakes/rows'
import { FakeServer } from '../fakes/server'
import { shopSession } from '../session/shopSession'
import { everythingIndexed, markMatches, searchEverything, whyFound } from './everything'

let phone: Phone
let server: FakeServer
const born = { created_at: '2026-11-01T00:00:00Z', changed_at: '2026-11-01T00:00:00Z' }

function put(at: number, who: Partial<Customer>, more: { stop?: Partial<Stop> } = {}): void {
  const id = String(at).padStart(5, '0')
  const job = { job_id: `j${id}`, customer_id: `c${id}`, machine_id: `m${id}`, site_id: `p${id}` }
  server.put('customer', { ...customerRow(''), id: job.customer_id, ...who })
  const what = { kind: 'garden tractor', make: 'Fennwick', model: 'G-14', engine_make: '', engine_model: '' }
  const serials = { serial: `FW ${id}`, engine_serial: '', tag: `T${id}`, archived: false }
  server.put('machine', { ...born, ...job, ...what, ...serials, id: job.machine_id } as unknown as Machine)
  server.put('job', { ...born, ...job, id: job.job_id, number: `J-${at}`, mark: 'A-1' } as unknown as Job)
  server.put('quote', { ...born, ...job, id: `q${id}`, number: `Q-${at}`, mark: 'A-2' } as unknown as Quote)
  server.put('site', {
    ...born,
    ...job,
    id: job.site_id,
    label: 'Barn',
    address: `${at} Mill Lane`,
  } as unknown as Site)
  server.put('stop', { ...born, ...job, id: `s${id}`, place: '', state: 'asked', ...more.stop } as Stop)
}

async function open(): Promise<void> {
  phone = await Phone.open(server)
  server.page_rows = 50_000
  await phone.sync()
  shopSession.value = phone.shop
}

beforeEach(() => {
  server = new FakeServer()
})
afterEach(async () => {
  shopSession.value = null
  await phone.close()
})

const found = (query: string) =>
  searchEverything(query).map(({ kind, rows }) => [kind, rows[0]?.id, rows.length])

test('quotes are found by number and by customer, stops by place and by customer', async () => {
  put(383, { name: 'Ilse Kessler' })
  put(384, { name: 'Gus Penhallow' })
  await open()
  expect(found('q383')).toEqual([['quote', 'q00383', 1]])
  expect(found('kessler').sort()).toEqual([
    ['customer', 'c00383', 1],
    ['job', 'j00383', 1],
    ['machine', 'm00383', 1],
    ['quote', 'q00383', 1],
    ['stop', 's00383', 1],
  ])
  expect(found('384 mill')).toEqual([['stop', 's00384', 1]])
})

test('the kind of the best match comes first', async () => {
  put(383, { name: 'Ilse Kessler', phone: '(208) 555-0134' })
  put(384, { name: 'Fennwick & Sons' })
  await open()
  expect(found('2085550134')[0]).toEqual(['customer', 'c00383', 1])
  expect(found('j-383')[0]).toEqual(['job', 'j00383', 1])
  expect(found('fw 00384')[0]?.[0]).toBe('machine')
})

test('a dropped stop and an empty search find nothing', async () => {
  put(383, { name: 'Ilse Kessler' }, { stop: { state: 'dropped' } })
  await open()
  expect(found('383 mill')).toEqual([])
  expect(found('  ')).toEqual([])
})

test.each([
  ['a word', 'Ilse Kessler', 'kess', ['Kessler']],
  ['a word with a typo', 'Ilse Kessler', 'kesler', ['Kessler']],
  ['a name in one piece', 'Otis O’Brien', 'obrien', ['O’Brien']],
  ['a number in groups', '208 555 0134', '2085550134', ['208 555 0134']],
  ['nothing', 'Ilse Kessler', 'voss', []],
])('what matches is marked: %s', (_, text, query, expected) => {
  const pieces = markMatches(text, query)
  expect(pieces.filter(([, marked]) => marked).map(([piece]) => piece)).toEqual(expected)
  expect(pieces.map(([piece]) => piece).join('')).toBe(text)
})

test('why a row was found is told only where its title does not show it', () => {
  const fields = [
    ['phone', '(208) 555-0134'],
    ['serial', 'FW 88-1203'],
  ] as const
  expect(whyFound('Ilse Kessler', fields, 'kessler')).toEqual([])
  expect(whyFound('Ilse Kessler', fields, 'kessler 1203')).toEqual([fields[1]])
  expect(whyFound('Ilse Kessler', fields, '208 555 0134')).toEqual([fields[0]])
})

test('among 5,000 customers with a machine, a job, a quote and a stop each, every letter is found fast', async () => {
  const NAMES = [
    'Kessler',
    'Penhallow',
    'Adeyemi',
    'Vásquez',
    'Merriweather',
    'Núñez',
    'Abara',
    'Becker',
    'Tran',
  ]
  for (let at = 0; at < 5000; at++)
    put(at, {
      name: `${NAMES[at % 9]} ${NAMES[(at * 7) % 8]}${at % 83}`,
      phone: `208 555 ${String(at).padStart(4, '0')}`,
      address: `${at} ${NAMES[at % 7]} Road`,
    })
  await open()
  expect(everythingIndexed.value).toBe(30_000)
  const spans = ['merriweather', '208 555 4321', 'fw 04999', 'j-4711'].flatMap((whole) =>
    [...whole].map((_, end) => {
      // Of this process alone: what else runs on the machine is not the search.
      const begun = process.cpuUsage()
      searchEverything(whole.slice(0, end + 1))
      const { user, system } = process.cpuUsage(begun)
      return (user + system) / 1000
    }),
  )
  spans.sort((a, b) => a - b)
  if (process.env['SHOW_TIMES']) process.stdout.write(`${spans.map((ms) => ms.toFixed(1)).join(' ')}\n`)
  expect(spans[Math.floor(spans.length / 2)]).toBeLessThan(50)
}, 60_000)
