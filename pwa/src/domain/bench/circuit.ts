/**
 * A machine's start and kill circuit, and what is observed on it: the same as `shopapi/bench/rules/circuit.py`, where
 * the terms are explained. Both run the vectors of `fixtures/bench`.
 */

import type { CircuitCheck, CircuitContact, CircuitModel, ControlStates, Observation } from '../contract.ts'

export const READY: ControlStates = {
  seat: true,
  brake: true,
  pto: false,
  neutral: true,
  reverse: false,
  override: false,
  key: true,
}

export const MOST_PARTS = 30
export const MOST_TRIES = 999

export type CircuitFault = 'part_twice' | 'part_unknown' | 'circuit_without_switch'
export type ObservationFault = 'more_than_tries' | 'measured_where'

/** What is wrong in a circuit. Twin: `faults_of_circuit`. */
export function faultsOfCircuit(model: CircuitModel): CircuitFault[] {
  const keys = new Set(model.parts.map(({ key }) => key))
  const contacts = contactsOf(model)
  const faults: CircuitFault[] = []
  if (keys.size < model.parts.length) faults.push('part_twice')
  if (contacts.some(({ part }) => !keys.has(part))) faults.push('part_unknown')
  if (!contacts.some(({ control }) => control)) faults.push('circuit_without_switch')
  return faults
}

/** What is wrong in an observation by itself. Twin: `faults_of_observation`. */
export function faultsOfObservation({ check, part, tries, yes }: Observation): ObservationFault[] {
  const faults: ObservationFault[] = []
  if (yes > tries) faults.push('more_than_tries')
  if ((part === null) === (check === 'voltage' || check === 'continuity')) faults.push('measured_where')
  return faults
}

/** Every contact of the crank chain, then of the kill chain. */
export const contactsOf = ({ crank, kill }: Pick<CircuitModel, 'crank' | 'kill'>): CircuitContact[] =>
  [...crank, ...kill].flatMap(({ contacts }) => contacts)

/** Whether a contact without fault is closed. */
export const isClosed = ({ control, closed }: CircuitContact, controls: ControlStates): boolean =>
  control === null ? closed : controls[control] === closed

/** The ways that a check is about; empty where the circuit no longer has its part. */
export function waysMeasured(
  model: CircuitModel,
  check: CircuitCheck,
  part: string | null,
): (readonly CircuitContact[])[] {
  if (check === 'crank') return model.crank.map(({ contacts }) => contacts)
  if (check === 'run') return model.kill.map(({ contacts }) => contacts)
  if (check === 'continuity')
    return contactsOf(model)
      .filter((contact) => contact.part === part)
      .slice(0, 1)
      .map((contact) => [contact])
  // Else a check that only a newer server knows.
  if (check !== 'voltage') return []
  return model.crank.flatMap(({ contacts }) => {
    const place = contacts.findIndex((contact) => contact.part === part)
    return place < 0 ? [] : [contacts.slice(0, place + 1)]
  })
}

/** Whether “yes” means that the chain does not conduct: an engine keeps running while it is not grounded. */
export const isInverted = ({ kill_by }: Pick<CircuitModel, 'kill_by'>, check: CircuitCheck): boolean =>
  check === 'run' && kill_by === 'ground'

/** Whether a circuit without fault answers yes. */
export function expects(
  model: CircuitModel,
  check: CircuitCheck,
  part: string | null,
  controls: ControlStates,
): boolean {
  const conducts = waysMeasured(model, check, part).some((way) =>
    way.every((contact) => isClosed(contact, controls)),
  )
  return conducts !== isInverted(model, check)
}
