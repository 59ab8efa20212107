import type { Commands, MachineFields } from '../domain/commands'
import { shortCode } from '../domain/machine'
import type { Machine, MeterReading } from '../domain/rows'
import { newId } from './clock'
import { editOf } from './editing'
import { enqueue } from './outbox'
import { all, byAge, of, one } from './shown'

export const machine = (id: string) => one('machine', id)

/** A customer's machines not put away, oldest first. */
export const machinesOf = (customer_id: string) =>
  of('machine', 'customer_id', customer_id)
    .filter((row) => !row.archived)
    .sort(byAge)

/** The machine that wears a tag: by the code or the address printed on it, however its letters were typed. */
export const machineByTag = (tag: string): Machine | undefined => {
  const wanted = bare(tag)
  if (wanted === '') return undefined
  return all('machine').find(
    (row) => bare(shortCode(row.id)) === wanted || bare(row.id) === wanted || bare(row.tag) === wanted,
  )
}

const bare = (tag: string) => tag.toUpperCase().replace(/[^\p{L}\p{N}]/gu, '')

/** Readings of a machine's hour meters, oldest first. */
export const metersOf = (machine_id: string) => of('meter_reading', 'machine_id', machine_id).sort(byAge)

export const lastMeter = (machine_id: string): MeterReading | undefined => metersOf(machine_id).at(-1)

export async function addMachine(machine: Omit<Commands['add_machine'], 'id'>): Promise<string> {
  const id = newId()
  await enqueue('add_machine', { id, ...machine })
  return id
}

/** Changes the fields that differ from what the person saw. */
export async function editMachine(
  seen: Machine,
  wanted: Partial<Pick<Machine, MachineFields>>,
): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_machine', edit)
}

export async function removeMachine(id: string): Promise<void> {
  await enqueue('remove_machine', { id })
}

export async function recordMeter(reading: Omit<Commands['record_meter'], 'id'>): Promise<string> {
  const id = newId()
  await enqueue('record_meter', { id, ...reading })
  return id
}
