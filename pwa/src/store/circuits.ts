import type { Circuit, CircuitObservation, Observation } from '../domain/contract'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { byAge, byId, ownedBy } from './rows/selectors'

export const circuit = (id: string) => byId('circuit', id)
/** The circuits of a machine, oldest first. */
export const circuitsOf = (machine_id: string) => ownedBy('circuit', 'machine_id', machine_id).sort(byAge)

export interface SeenObservation extends CircuitObservation {
  readonly observation: Observation
}

/** What was seen of a circuit on a job and not withdrawn, oldest first. */
export function observationsOf(job_id: string, circuit_id: string): SeenObservation[] {
  const rows = ownedBy('circuit_observation', 'job_id', job_id).filter((row) => row.circuit_id === circuit_id)
  const withdrawn = new Set(rows.map(({ withdraws_id }) => withdraws_id))
  return rows
    .filter((row): row is SeenObservation => row.observation !== null && !withdrawn.has(row.id))
    .sort(byAge)
}

export const addCircuit = (fields: NewRowFields<'add_circuit'>) => sendAdd('add_circuit', fields)
export const editCircuit = (seen: Circuit, wanted: Changes<'edit_circuit'>) =>
  sendEdit('edit_circuit', seen, wanted)
export const removeCircuit = (id: string) => sendRemove('remove_circuit', id)
export const recordObservation = (fields: NewRowFields<'record_circuit_observation'>) =>
  sendAdd('record_circuit_observation', fields)

/** Says that an observation was a mistake; a row of its own. */
export const withdrawObservation = ({ id, job_id, circuit_id }: CircuitObservation) =>
  sendAdd('withdraw_circuit_observation', { job_id, circuit_id, withdraws_id: id })
