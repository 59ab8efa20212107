import { afterEach, beforeEach, expect, test } from 'vitest'
import { customer } from '../customers'
import { Phone } from '../fakes/phone'
import { FakeServer } from '../fakes/server'
import { sendAdd, sendEdit, sendRemove } from './commands'

let phone: Phone

beforeEach(async () => {
  phone = await Phone.open(new FakeServer())
})

afterEach(() => phone.close())

const sent = async () => (await phone.stored('outbox')).map(({ name, args }) => [name, args])

test('a row is created under an id made on the phone, edited by its differences, and removed', async () => {
  const id = await sendAdd('add_customer', { name: 'Ada', phone: '1' })
  const seen = customer(id)
  if (!seen) throw new Error('the new customer is not shown')
  await sendEdit('edit_customer', seen, { name: 'Ada B', phone: '1' })
  expect(customer(id)?.name).toBe('Ada B')
  await sendEdit('edit_customer', seen, { name: 'Ada' })
  await sendRemove('remove_customer', id)
  expect(await sent()).toEqual([
    ['add_customer', { id, name: 'Ada', phone: '1' }],
    ['edit_customer', { id, base: { name: 'Ada' }, set: { name: 'Ada B' } }],
    ['remove_customer', { id }],
  ])
})
