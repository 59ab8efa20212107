/**
 * Circuits to begin with, by kind of machine. Twin of `shopapi/bench/rules/default_circuits.py`, which names the sources;
 * both give `fixtures/bench/circuits.json`.
 */

import type { CircuitContact, CircuitModel, CircuitPartKind, CircuitWay, Control } from '../contract.ts'

export type DefaultCircuit = 'geared' | 'hydrostatic' | 'zero_turn'

type NamedPart = readonly [key: string, kind: CircuitPartKind, name: string]

const CRANK_PARTS: readonly NamedPart[] = [
  ['battery', 'battery', 'Battery and its cables'],
  ['fuse', 'fuse', 'Fuse'],
  ['key_start', 'switch', 'Key switch, start contacts'],
  ['brake_start', 'switch', 'Brake switch, start contacts'],
  ['pto_start', 'switch', 'PTO switch, start contacts'],
  ['neutral', 'switch', 'Neutral switch'],
  ['plug', 'connector', 'Plug at the solenoid'],
  ['solenoid', 'solenoid', 'Solenoid'],
  ['starter', 'starter', 'Starter and ground strap'],
]
const KILL_PARTS: readonly NamedPart[] = [
  ['seat', 'switch', 'Seat switch'],
  ['brake_stop', 'switch', 'Brake switch, stop contacts'],
  ['pto_stop', 'switch', 'PTO switch, stop contacts'],
  ['reverse', 'switch', 'Reverse switch'],
  ['override', 'switch', 'Reverse key'],
  ['key_stop', 'switch', 'Key switch, stop contacts'],
  ['lead', 'wire', 'Kill lead'],
  ['rubbed', 'wire', 'Kill lead rubbed through to the frame'],
  ['module', 'module', 'Ignition module'],
]
/** Which control closes a switch, and in which state. */
const CLOSED_BY: Readonly<Record<string, readonly [Control, boolean]>> = {
  key_start: ['key', true],
  brake_start: ['brake', true],
  pto_start: ['pto', false],
  neutral: ['neutral', true],
  seat: ['seat', false],
  brake_stop: ['brake', false],
  pto_stop: ['pto', true],
  reverse: ['reverse', true],
  override: ['override', false],
  key_stop: ['key', false],
}
/** Parts that conduct only once they are at fault. */
const NEVER = ['rubbed', 'module']
const KILL_WAYS = [
  ['seat', 'pto_stop', 'lead'],
  ['seat', 'brake_stop', 'lead'],
  ['reverse', 'pto_stop', 'override', 'lead'],
  ['key_stop', 'lead'],
  ['rubbed'],
  ['module'],
]
const LEFT_OUT: Readonly<Record<DefaultCircuit, readonly string[]>> = {
  geared: ['neutral'],
  hydrostatic: [],
  zero_turn: ['reverse', 'override'],
}
const ZERO_TURN_NAMES: Readonly<Record<string, string>> = {
  neutral: 'Lever switches, start contacts',
  brake_start: 'Parking brake switch, start contacts',
  brake_stop: 'Parking brake switch, stop contacts',
}

/** The circuit to begin with for a kind of machine. */
export function defaultCircuit(kind: DefaultCircuit): CircuitModel {
  const isThere = (key: string) => !LEFT_OUT[kind].includes(key)
  const names = kind === 'zero_turn' ? ZERO_TURN_NAMES : {}
  return {
    parts: [...CRANK_PARTS, ...KILL_PARTS]
      .filter(([key]) => isThere(key))
      .map(([key, partKind, name]) => newPart(key, partKind, names[key] ?? name)),
    crank: [wayOf(CRANK_PARTS.map(([key]) => key).filter(isThere))],
    kill: KILL_WAYS.filter((way) => way.every(isThere)).map(wayOf),
    kill_by: 'ground',
    pass_percents: { usual: 50, hot: 50, wet: 50, shaken: 30 },
    minutes: 60,
  }
}

/** A part with the usual figures of its kind. */
export const newPart = (key: string, kind: CircuitPartKind, name: string): CircuitModel['parts'][number] => ({
  key,
  kind,
  name,
  per_thousand: null,
  pass_percent: null,
  minutes: null,
})

const wayOf = (keys: readonly string[]): CircuitWay => ({ contacts: keys.map(contactOf) })

function contactOf(part: string): CircuitContact {
  const [control, closed] = CLOSED_BY[part] ?? [null, !NEVER.includes(part)]
  return { part, control, closed }
}

/** Which default fits a machine, by what its kind is called. */
export function defaultFor(kind: string): DefaultCircuit {
  if (/zero/i.test(kind)) return 'zero_turn'
  return /hydro/i.test(kind) ? 'hydrostatic' : 'geared'
}
