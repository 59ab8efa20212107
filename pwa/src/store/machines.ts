import type { Machine, MeterReading } from '../domain/contract'
import { shortCode } from '../domain/machines/machineText'
import { type Changes, type NewRowFields, sendAdd, sendEdit } from './queue/commands'
import { allOf, byAge, byId, ownedBy } from './rows/selectors'

export const machine = (id: string) => byId('machine', id)

/** All machines, archived ones too. */
export const knownMachines = () => allOf('machine')

/** A customer's machines that are not archived, oldest first. */
export const machinesOf = (customer_id: string) =>
  ownedBy('machine', 'customer_id', customer_id)
    .filter((row) => !row.archived)
    .sort(byAge)

/** The machine with a tag, by the code or the address printed on it, in either case. */
export const machineByTag = (tag: string): Machine | undefined => {
  const wanted = bare(tag)
  if (wanted === '') return undefined
  return allOf('machine').find(
    (row) => bare(shortCode(row.id)) === wanted || bare(row.id) === wanted || bare(row.tag) === wanted,
  )
}

const bare = (tag: string) => tag.toUpperCase().replace(/[^\p{L}\p{N}]/gu, '')

export const meterReading = (id: string) => byId('meter_reading', id)
/** Readings of a machine's hour meters, oldest first. */
export const metersOf = (machine_id: string) => ownedBy('meter_reading', 'machine_id', machine_id).sort(byAge)

export const lastMeter = (machine_id: string): MeterReading | undefined => metersOf(machine_id).at(-1)

export const addMachine = (fields: NewRowFields<'add_machine'>) => sendAdd('add_machine', fields)
export const editMachine = (seen: Machine, wanted: Changes<'edit_machine'>) =>
  sendEdit('edit_machine', seen, wanted)
export const recordMeter = (fields: NewRowFields<'record_meter'>) => sendAdd('record_meter', fields)
