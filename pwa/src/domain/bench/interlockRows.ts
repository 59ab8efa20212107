import type { CircuitModel, ControlStates } from '../contract.ts'
import { expects, READY } from './circuit.ts'
import type { MachineClass } from './runTests.ts'

/**
 * The interlock test table: what the machine has to do in each state, by class of machine. Sources are beside the
 * table of the twin, `shopapi/bench/rules/interlock_rows.py`; both run `fixtures/bench/interlock_rows.json`.
 */
export const EXPECTED = {
  start_pto_on: 'no_crank',
  start_brake_off: 'no_crank',
  start_lever_out: 'no_crank',
  start_all_set: 'cranks',
  rise_brake_off: 'stops',
  rise_pto_on: 'stops',
  rise_all_set: 'keeps_running',
  reverse_pto_on: 'stops',
  reverse_override: 'keeps_running',
  start_control_free: 'no_blade',
  release_control: 'blade_stops',
} as const

export type InterlockRow = keyof typeof EXPECTED

/** What is seen where a machine does not do what it has to. */
export const OPPOSITE = {
  no_crank: 'cranks',
  cranks: 'no_crank',
  stops: 'keeps_running',
  keeps_running: 'stops',
  no_blade: 'blade_turns',
  blade_stops: 'blade_turns',
} as const

export type Behavior = keyof typeof OPPOSITE | 'blade_turns'

const SEAT = ['rise_brake_off', 'rise_pto_on', 'rise_all_set'] as const
export const ROWS: Readonly<Record<MachineClass, readonly InterlockRow[]>> = {
  tractor: [
    'start_pto_on',
    'start_brake_off',
    'start_all_set',
    ...SEAT,
    'reverse_pto_on',
    'reverse_override',
  ],
  zero_turn: ['start_pto_on', 'start_brake_off', 'start_lever_out', 'start_all_set', ...SEAT],
  walk_behind: ['start_control_free', 'release_control'],
  other: [],
}

/** The controls of each row of a machine with a seat; `running`: the engine runs while they change. */
const STATES: { readonly [Row in InterlockRow]?: Partial<ControlStates> & { running?: true } } = {
  start_pto_on: { pto: true },
  start_brake_off: { brake: false },
  start_lever_out: { neutral: false },
  start_all_set: {},
  rise_brake_off: { running: true, seat: false, brake: false },
  rise_pto_on: { running: true, seat: false, pto: true },
  rise_all_set: { running: true, seat: false },
  reverse_pto_on: { running: true, brake: false, pto: true, neutral: false, reverse: true },
  reverse_override: { running: true, brake: false, pto: true, neutral: false, reverse: true, override: true },
}

/** What a row has to show: by the circuit of the machine where the owner entered one, else by the table. */
export function expectedBehavior(row: InterlockRow, circuit: CircuitModel | undefined) {
  const state = STATES[row]
  if (!circuit || !state) return EXPECTED[row]
  const { running, ...controls } = state
  const at = { ...READY, ...controls }
  if (running) return expects(circuit, 'run', null, at) ? 'keeps_running' : 'stops'
  return expects(circuit, 'crank', null, at) ? 'cranks' : 'no_crank'
}

/** The safety device that a row tests, as safety items call it. */
export const DEVICES: { readonly [Row in InterlockRow]?: string } = {
  start_pto_on: 'blade_switch',
  start_brake_off: 'brake_switch',
  rise_brake_off: 'seat_switch',
  rise_pto_on: 'seat_switch',
  reverse_pto_on: 'reverse_switch',
  release_control: 'blade_brake',
  start_control_free: 'hold_to_run_handle',
}
