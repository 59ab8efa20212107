import { expect, test } from 'vitest'
import type { Limit, Machine, Sheet, SheetEntry } from '../contract.ts'
import { findKept, newSheetFor, sheetToKeepOn } from './sheetToKeep.ts'

const names = { kind: '', make: '', model: '', engine_make: '', engine_model: '' }
const machineOf = (fields: Partial<Machine>): Machine =>
  ({ ...names, serial: '', engine_serial: '', ...fields }) as Machine
const sheetOf = (title: string, fields: Partial<Sheet>): Sheet =>
  ({ ...names, id: title, title, family: '', serial_from: '', serial_to: '', ...fields }) as Sheet

const gt18 = machineOf({
  kind: 'garden tractor',
  make: 'Hartvale',
  model: 'GT 18',
  engine_make: 'Corvane',
  engine_model: 'C18',
})
const sheets = [
  sheetOf('Tractors', { kind: 'garden tractor' }),
  sheetOf('Hartvale', { make: 'Hartvale' }),
  sheetOf('GT 18', { make: 'Hartvale', model: 'GT-18' }),
  sheetOf('C18', { engine_make: 'Corvane', engine_model: 'C18' }),
  sheetOf('GT 24', { make: 'Hartvale', model: 'GT 24' }),
]

test('an entry goes on the sheet that names the model of the machine, or of its engine', () => {
  const from = { machine: gt18, job_mark: '' }
  expect(sheetToKeepOn(from, sheets)?.title).toBe('GT 18')
  expect(sheetToKeepOn({ ...from, about: 'engine' }, sheets)?.title).toBe('C18')
  expect(sheetToKeepOn(from, sheets.slice(0, 2))).toBe(undefined)
})

test('a machine without a model has the sheet of its make, or of its kind', () => {
  const from = (fields: Partial<Machine>) => ({ machine: machineOf(fields), job_mark: '' })
  expect(sheetToKeepOn(from({ kind: 'tiller', make: 'Hartvale' }), sheets)?.title).toBe('Hartvale')
  expect(sheetToKeepOn(from({ kind: 'garden tractor' }), sheets)?.title).toBe('Tractors')
})

test('a new sheet is named after the machine or its engine', () => {
  expect(newSheetFor({ machine: gt18, job_mark: '' })).toEqual({
    title: 'Hartvale GT 18',
    kind: 'garden tractor',
    make: 'Hartvale',
    model: 'GT 18',
  })
  expect(newSheetFor({ machine: gt18, job_mark: '', about: 'engine' })).toEqual({
    title: 'Corvane C18',
    engine_make: 'Corvane',
    engine_model: 'C18',
  })
  expect(newSheetFor({ machine: machineOf({ kind: 'mower' }), job_mark: '' }).title).toBe('mower')
})

test('what a sheet has already is found, however it is written', () => {
  const limits = [{ what: 'Ignition air gap', unit: 'in' }] as Limit[]
  const entries = [
    { kind: 'lesson', words: 'Drain the fuel first', first: '', second: '' },
    { kind: 'order', words: '', first: 'Belt', second: 'Cover' },
  ] as SheetEntry[]
  const has = (kept: Parameters<typeof findKept>[0]) => findKept(kept, limits, entries) !== undefined
  expect(has({ limit: { what: 'ignition air-gap', quantity: 'length', unit: 'in' } })).toBe(true)
  expect(has({ limit: { what: 'Ignition air gap', quantity: 'length', unit: 'mm' } })).toBe(false)
  expect(has({ entry: { kind: 'lesson', words: 'drain the fuel first.' } })).toBe(true)
  expect(has({ entry: { kind: 'note', words: 'Drain the fuel first' } })).toBe(false)
  expect(has({ entry: { kind: 'order', first: 'belt', second: 'cover' } })).toBe(true)
})
