import { expect, test } from 'vitest'
import { basis } from '../../../store/fakes/book'
import { NO_TERMS, termsToTell, toTerms } from './intakeTerms'

const book = {
  ...basis,
  diagnosis_fee_minor: 6500,
  credit_diagnosis: true,
  storage: { free_days: 30, per_day_minor: 300 },
}

test('a price book without fee and storage has nothing to tell', () => {
  expect(termsToTell(basis)).toEqual({ fee: null, credited: true, free_days: 0, per_day: null, cap: null })
  expect(termsToTell(undefined)).toEqual({
    fee: null,
    credited: false,
    free_days: 0,
    per_day: null,
    cap: null,
  })
  expect(toTerms({ accepted: ['diagnosis', 'storage'], who: 'Otis' }, basis, 'Otis')).toBeUndefined()
})

test('only what was ticked is recorded, with the figures of the price book', () => {
  expect(toTerms(NO_TERMS, book, 'Otis Quill')).toBeUndefined()
  expect(toTerms({ accepted: ['diagnosis'], who: null }, book, 'Otis Quill')).toEqual({
    accepted_by_name: 'Otis Quill',
    diagnosis_fee_minor: 6500,
    diagnosis_credited: true,
  })
  expect(toTerms({ accepted: ['storage'], who: ' Bram ' }, book, 'Otis Quill')).toEqual({
    accepted_by_name: 'Bram',
    storage_free_days: 30,
    storage_per_day_minor: 300,
  })
})
