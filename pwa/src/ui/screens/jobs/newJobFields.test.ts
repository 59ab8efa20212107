import { expect, test } from 'vitest'
import { newCustomer } from './newJobFields'

test.each([
  [
    { customerName: ' Otis O’Brien ', nameToNumber: '', phone: '208 555 0199' },
    'Otis O’Brien',
    '208 555 0199',
  ],
  [
    { customerName: '208 555 0199', nameToNumber: ' Otis O’Brien', phone: '' },
    'Otis O’Brien',
    '208 555 0199',
  ],
  [{ customerName: '(208) 555-0199', nameToNumber: '', phone: 'left over' }, '', '(208) 555-0199'],
  [{ customerName: 'Farm 12', nameToNumber: 'left over', phone: '' }, 'Farm 12', ''],
])('%o is a customer with name “%s” and phone “%s”', (typed, name, phone) => {
  expect(newCustomer(typed)).toEqual({ name, phone })
})
