import { expect, test } from 'vitest'
import { LEFT_OUT } from '../../../domain/contractDefaults'
import { toYardFields, toYardFormFields } from './yardFormFields'

test('the form of a new yard shows what the server takes for fields that are left out', () => {
  const fields = toYardFormFields(null)
  expect(fields).toMatchObject({ opens: '07:00', low: '10', high: '15', speed: '' })
  expect(toYardFields(fields)).toEqual(LEFT_OUT.set_up_yard)
})
