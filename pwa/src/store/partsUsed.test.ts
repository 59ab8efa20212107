import { afterEach, expect, test } from 'vitest'
import type { CatalogPart, Job, Machine, PartNeed, Sheet } from '../domain/contract'
import { newId } from './browser/clock'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { machine } from './machines'
import { aboveAgreed, countNeeds, priceNow } from './partNeeds'
import { knownParts } from './partsUsed'
import { shopSession } from './session/shopSession'

let phone: Phone | undefined

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
})

const at = (day: number) => {
  const created_at = `2026-04-${String(day + 1).padStart(2, '0')}T08:00:00Z`
  return { created_at, changed_at: created_at }
}
const NAMES = { kind: 'garden tractor', serial: '', engine_serial: '', engine_make: '', engine_model: '' }
const MACHINES = {
  small: { make: 'Hartvale', model: 'GT 18' },
  twin: { make: 'hartvale', model: 'gt  18' },
  bigger: { make: 'Hartvale', model: 'GT 22' },
  cousin: { make: 'Orley', model: 'LT 4' },
  engine: { make: 'Orley', model: 'P 9', engine_make: 'Brand', engine_model: 'E 17' },
}
const SHEETS = [
  { id: 's1', title: 'GT 18', make: 'Hartvale', model: 'GT 18', family: 'GT series' },
  { id: 's2', title: 'LT 4', make: 'Orley', model: 'LT 4', family: 'GT series' },
]
const NONE = {
  kind: '',
  make: '',
  model: '',
  engine_make: '',
  engine_model: '',
  serial_from: '',
  serial_to: '',
}

/** A shop that needed each of these parts on a job of one of its machines, oldest first. */
async function needed(
  ...needs: [description: string, on: keyof typeof MACHINES, more?: Partial<PartNeed>][]
) {
  const server = new FakeServer()
  for (const [id, names] of Object.entries(MACHINES)) {
    server.put('machine', { ...at(0), ...NAMES, id, ...names } as Machine)
    server.put('job', { ...at(0), id: `${id}-job`, machine_id: id } as Job)
  }
  for (const sheet of SHEETS)
    server.put('sheet', { ...at(0), ...NONE, archived: false, ...sheet } as unknown as Sheet)
  server.put('catalog_part', {
    ...at(0),
    id: 'known',
    description: 'Spark plug',
    number: 'SP-7',
    archived: false,
  } as CatalogPart)
  for (const [day, [description, on, more]] of needs.entries())
    server.put('part_need', {
      ...at(day),
      id: `need-${day}`,
      job_id: `${on}-job`,
      number: '',
      state: 'fitted',
      catalog_part_id: null,
      line_id: null,
      description,
      ...more,
    } as PartNeed)
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
}

const found = (typed: string, on: keyof typeof MACHINES = 'small') => {
  const row = machine(on)
  return row ? knownParts(row, typed).map(({ part, fit }) => [part.description, fit]) : []
}

test('which belt did I use on its bigger sister: the closest machine is first', async () => {
  await needed(
    ['Belt of the sister', 'bigger'],
    ['Belt of the family', 'cousin'],
    ['Belt of another make', 'engine'],
    ['Belt of the same model', 'twin'],
    ['Belt of this machine', 'small'],
  )
  expect(found('belt')).toEqual([
    ['Belt of this machine', 'machine'],
    ['Belt of the same model', 'model'],
    ['Belt of the family', 'family'],
    ['Belt of the sister', 'make'],
    ['Belt of another make', null],
  ])
  // With nothing typed: what was used on machines like it.
  expect(found('').map(([, fit]) => fit)).toEqual(['machine', 'model', 'family', 'make'])
})

test('a part is offered once by its number, and not where it was not used', async () => {
  await needed(
    ['Deck belt', 'small', { number: '754-1' }],
    ['Belt, deck', 'bigger', { number: '754-1' }],
    ['Wrong belt', 'small', { number: '99', state: 'sent_back' }],
    ['Old belt', 'small', { number: '98', state: 'cancelled' }],
  )
  expect(found('belt')).toEqual([['Deck belt', 'machine']])
  expect(found('754-1', 'bigger')).toEqual([['Belt, deck', 'machine']])
  expect(found('plug')).toEqual([['Spark plug', null]])
  expect(found('carburetor')).toEqual([])
})

test('what has not come is counted, what is not wanted any more is not', async () => {
  await needed(
    ['Belt', 'small', { state: 'ordered' }],
    ['Spring', 'small', { state: 'arrived' }],
    ['Pin', 'small', { state: 'cancelled' }],
  )
  expect(countNeeds('small-job')).toEqual({ open: 1, all: 2, fitted: 0 })
})

test('a price above the agreed one is known before the part is fitted', () => {
  const need = { line_id: null, cost_minor: null, agreed_minor: 1400, price_minor: 1650 } as PartNeed
  expect(aboveAgreed(need)).toBe(250)
  expect(aboveAgreed({ ...need, price_minor: 1400 })).toBe(0)
  expect(aboveAgreed({ ...need, price_minor: 1300 })).toBe(0)
  expect(aboveAgreed({ ...need, agreed_minor: null })).toBe(0)
  expect(priceNow({ ...need, price_minor: null })).toBe(null)
})
