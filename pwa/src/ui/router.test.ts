import { expect, test } from 'vitest'
import { type Place, pathTo, placeAt } from './router'

const id = '0199aa00-0000-7000-8000-000000000001'
const other = '0199aa00-0000-7000-8000-000000000002'

const PLACES: Place[] = [
  { at: 'today' },
  { at: 'find' },
  { at: 'new-job' },
  { at: 'new-job', customerId: id },
  { at: 'new-job', customerId: id, machineId: other },
  { at: 'customer', id },
  { at: 'customer-edit', id },
  { at: 'customer-site', id },
  { at: 'customer-machine', id },
  { at: 'site-edit', id },
  { at: 'machine', id },
  { at: 'machine-edit', id },
  { at: 'machine-hours', id },
  { at: 'job', id },
  { at: 'job-edit', id },
  { at: 'job-stage', id },
  { at: 'job-complaint', id },
  { at: 'job-finding', id },
  { at: 'finding', id },
  { at: 'quote', id },
  { at: 'quote-terms', id },
  { at: 'quote-offer', id },
  { at: 'quote-told', id },
  { at: 'quote-add', id, kind: 'labor' },
  { at: 'quote-add', id, kind: 'part', findingId: other },
  { at: 'quote-line', id, lineId: other },
  { at: 'queue' },
  { at: 'issue', id },
  { at: 'settings' },
  { at: 'prices' },
  { at: 'shop' },
  { at: 'sign-in' },
  { at: 'first-shop' },
]

test.each(PLACES)('the address of %o leads back to it', (place) =>
  expect(placeAt(new URL(pathTo(place), 'https://shop.example'))).toEqual(place),
)

test.each(['/jobs', '/nothing', '/jobs/1/nothing', '/issues/1/edit', '/customers/1/quotes'])(
  '%s is nowhere',
  (path) => expect(placeAt(new URL(path, 'https://shop.example'))).toEqual({ at: 'nowhere' }),
)
