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
  { at: 'my-time' },
  { at: 'my-time', memberId: id },
  { at: 'add-time', memberId: id },
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
  { at: 'job-stop', id, kind: 'return' },
  { at: 'rig', id },
  { at: 'run', id },
  { at: 'run-trouble', id },
  { at: 'stop', id },
  { at: 'stop-edit', id },
  { at: 'stop-move', id },
  { at: 'stop-tell', id },
  { at: 'stop-fail', id },
  { at: 'stop-hand', id },
  { at: 'stop-handed', id },
  { at: 'wordings' },
  { at: 'wording', id: 'check_in', channel: 'email' },
  { at: 'plan' },
  { at: 'urgent' },
  { at: 'new-rig' },
  { at: 'yard' },
  { at: 'tag' },
  { at: 'finding', id },
  { at: 'quote', id },
  { at: 'quote-terms', id },
  { at: 'quote-offer', id },
  { at: 'quote-told', id },
  { at: 'quote-ask', id },
  { at: 'finding-ask', id },
  { at: 'request', id },
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
