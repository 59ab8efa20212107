import { afterEach, beforeEach, expect, test } from 'vitest'
import { editCustomer } from '../customerEdits'
import { addCustomer } from '../customers'
import { Phone } from '../fakes/phone'
import { FakeServer } from '../fakes/server'
import { saveIntake } from '../intake'
import { addMachine } from '../machines'
import { search } from './search'
import { beginsWithin } from './textMatch'

let phone: Phone

beforeEach(async () => {
  phone = await Phone.open(new FakeServer())
  await saveIntake({
    customer: {
      name: 'Miriam Þórsdóttir-Quill',
      phone: '(208) 555-0134',
      second_phone: '208 555 0777',
      email: 'miriam@example.test',
    },
    machine: {
      kind: 'garden tractor',
      make: 'Fennwick',
      model: 'G-14',
      serial: 'FW 88-1203',
      engine_serial: 'E7',
    },
  })
  const other = await addCustomer({ name: 'Otis O’Brien', phone: '208.555.0199' })
  await addMachine({ customer_id: other, kind: 'chipper', make: 'Oakjaw', serial: 'OJ-5501' })
})

afterEach(() => phone.close())

const found = (query: string) => {
  const { customers, machines, jobs } = search(query)
  return [customers.map(({ name }) => name), machines.map(({ kind }) => kind), jobs.length]
}

const MIRIAM = ['Miriam Þórsdóttir-Quill']
const OTIS = ['Otis O’Brien']

test.each([
  ['the beginning of a name', 'mir', [MIRIAM, ['garden tractor'], 1]],
  ['a name without its accents', 'þorsdottir', [MIRIAM, ['garden tractor'], 1]],
  ['a slip of the thumb', 'mirian', [MIRIAM, ['garden tractor'], 1]],
  ['two letters exchanged', 'imriam', [MIRIAM, ['garden tractor'], 1]],
  ['a name written in one piece', 'obrien', [OTIS, ['chipper'], 0]],
  ['the end of a phone number', '0134', [MIRIAM, ['garden tractor'], 1]],
  ['the end of a second phone number', '0777', [MIRIAM, ['garden tractor'], 1]],
  ['a phone number as people write it', '208 555 0199', [OTIS, ['chipper'], 0]],
  ['a serial number', 'oj5501', [[], ['chipper'], 0]],
  ['some digits of a serial number', '881203', [[], ['garden tractor'], 1]],
  ['customer and machine together', 'quill fennw', [[], ['garden tractor'], 1]],
  ['nothing that is here', 'zebra', [[], [], 0]],
  ['nothing at all', '  ', [[], [], 0]],
])('%s', (_, query, expected) => {
  expect(found(query)).toEqual(expected)
})

test('a number must match exactly', () => {
  expect(found('0135')).toEqual([[], [], 0])
})

test.each(['208 555 0134', '(208) 555-0134', '2085550134', '+1 208 555 0134', '555 0134'])(
  'the row with the number %s comes first',
  async (typed) => {
    await addCustomer({ name: 'The 2085550134 farm', address: '208 555 0134 Lane', phone: '208 555 01349' })
    await addCustomer({ name: 'Stroud', phone: '208 555 01342' })
    expect(search(typed).customers[0]?.name).toBe(MIRIAM[0])
  },
)

test('a job is found by its mark', () => {
  const [job] = search('mir').jobs
  expect(search(job?.mark ?? '').jobs).toEqual([job])
})

test('archived rows are not found, their jobs are', async () => {
  const [customer] = search('mir').customers
  if (!customer) throw new Error('the customer is not found')
  await phone.does(() => editCustomer(customer, { archived: true }))
  expect(found('mir')).toEqual([[], ['garden tractor'], 1])
})

test('a whole word ranks above a prefix', async () => {
  await phone.does(() => addCustomer({ name: 'Otisson' }))
  expect(search('otis').customers.map(({ name }) => name)).toEqual([...OTIS, 'Otisson'])
})

test.each([
  ['walker', 'walker', 0, true],
  ['walker', 'walkr', 1, true],
  ['walker', 'wlaker', 1, true],
  ['walker', 'talker', 1, true],
  ['walker', 'tanker', 1, false],
  ['walkers', 'walker', 0, true],
])('%s and %s are within %i: %s', (word, asked, most, expected) => {
  expect(beginsWithin(word, asked, most)).toBe(expected)
})
