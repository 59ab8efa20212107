import type { PartFault } from '../bench/diagnosis/faults.ts'
import type { CircuitCheck, CircuitPart, Control, Heat, Observation } from '../contract.ts'
import { named } from '../named.ts'
import { counted } from './plural'

// Words of the start and kill circuit: its model, what is seen of it, and what explains that.

/** How a control stands, on and off. */
const controlStates: Readonly<Record<Control, readonly [on: string, off: string]>> = {
  seat: ['seated', 'off the seat'],
  brake: ['brake set', 'brake released'],
  pto: ['PTO on', 'PTO off'],
  neutral: ['in neutral', 'out of neutral'],
  reverse: ['in reverse', 'not in reverse'],
  override: ['reverse key turned', 'reverse key not turned'],
  key: ['key at START or RUN', 'key off'],
}

/** How a control stands; one that only a newer server knows by its own name. */
const stateText = (control: Control, on: boolean): string =>
  controlStates[control]?.[on ? 0 : 1] ?? `${control.replaceAll('_', ' ')} ${on ? 'on' : 'off'}`

const switchFaults: Readonly<Record<PartFault, string>> = {
  open: 'sticks open',
  closed: 'sticks closed',
  sometimes_open: 'sticks open now and then',
  sometimes_closed: 'sticks closed now and then',
}
const otherFaults: Readonly<Record<PartFault, string>> = {
  open: 'has no contact',
  closed: 'makes contact when it should not',
  sometimes_open: 'loses contact now and then',
  sometimes_closed: 'makes contact now and then when it should not',
}

const percent = (weight: number) => (weight < 0.01 ? 'under 1%' : `${Math.round(weight * 100)}%`)

export const circuit = {
  title: 'Start and kill circuit',
  caution:
    'The maker’s test procedure comes first. Wheels blocked, nobody near blades and belts: on a machine with a fault they can turn in any test. Measure only; every safety device stays connected while the engine can start.',
  // No circuit yet
  none: 'This machine has no circuit yet',
  noneHint: 'Start with one of these and change what its wiring diagram shows otherwise.',
  kinds: { geared: 'Gear drive', hydrostatic: 'Hydrostatic drive', zero_turn: 'Zero-turn' },
  usualKind: 'Usual for this kind of machine',
  defaultName: 'Start and kill',
  added: 'Circuit added',
  // Diagnosis
  likely: 'What explains it',
  mostLikely: 'Most likely',
  nothingWrong: 'Nothing is wrong, or it has not shown yet',
  bound: (most: number) =>
    `Of everything with at most ${most} faults at once. Weights are estimates, not measurements.`,
  /** `shown`: the count with its separators. */
  others: (count: number, shown: string, weight: number) =>
    `${shown} other ${count === 1 ? 'explanation' : 'explanations'}: ${percent(weight)}`,
  percent,
  firstSee: 'Nothing observed yet',
  firstSeeHint: 'Record what the machine does: try it a few times, good tries count too.',
  alike: (texts: readonly string[]) => `Cannot tell apart with any test in the list: ${texts.join(' / ')}.`,
  conflict: (most: number) =>
    `No ${most} faults explain all of this together. These contradict each other; check them:`,
  leftOut: (count: number) =>
    `${counted(count, 'observation is', 'observations are')} about a part that is no longer in the circuit, and left out.`,
  next: 'Test next',
  nextMinutes: (minutes: number) => `about ${minutes} min`,
  why: (expected: boolean, chance: number, check: CircuitCheck) =>
    `A good circuit answers “${circuit.answers[check][expected ? 0 : 1]}”. Chance of that now: ${percent(chance)}. It narrows most for its time.`,
  severalTries: (tries: number) => `Try it ${tries} times`,
  enough:
    'Enough to act on. Repair it, then repeat the tests that failed: a part that fails now and then needs many.',
  makeFinding: 'Add a finding',
  noTest: 'No test in the list tells more.',
  noTime: 'No test that tells something fits the time that is left.',
  time: (spent: number, whole: number) => `${spent} of ${whole} min used`,
  record: 'Record this test',
  recordOther: 'Record something else',
  seen: 'Observed',
  mistake: 'That was a mistake',
  withdrawn: 'Observation withdrawn',
  edit: 'Change the circuit',
  // Recording
  seeTitle: 'What was seen',
  check: 'What was looked at',
  checks: /* @__PURE__ */ named({
    crank: 'Does it crank?',
    run: 'Does it keep running?',
    voltage: 'Voltage after a part',
    continuity: 'Continuity of a part',
  }),
  checkHints: /* @__PURE__ */ named({
    crank: 'Key to START',
    run: 'Engine running, then the controls as below',
    voltage: 'Key at START, meter against ground',
    continuity: 'Unplugged, key out, battery off',
  }),
  answers: {
    crank: ['Cranks', 'No crank'],
    run: ['Keeps running', 'Stops'],
    voltage: ['Voltage', 'No voltage'],
    continuity: ['Continuity', 'Open'],
  } as Readonly<Record<CircuitCheck, readonly [yes: string, no: string]>>,
  answer: 'Tap once for every try',
  answerHint: 'A good try counts as much as a bad one.',
  counted: (yes: number, tries: number) => `${yes} of ${tries}`,
  part: 'Part',
  noPart: 'Choose a part',
  missingPart: 'Choose the part that was measured.',
  missingTry: 'Tap what happened first.',
  controls: 'Controls',
  conditions: 'Conditions',
  cold: 'Cold',
  hot: 'Hot',
  wet: 'Wet',
  shaken: 'Shaken: leads and plugs moved',
  undoTap: 'Count again from zero',
  controlNames: /* @__PURE__ */ named({
    seat: 'Somebody sits on the seat',
    brake: 'Brake set',
    pto: 'PTO on',
    neutral: 'In neutral',
    reverse: 'In reverse',
    override: 'Reverse key turned',
    key: 'Key at START or RUN',
  }),
  save: (text: string) => `Save: ${text}`,
  saveNothing: 'Save',
  // The model
  editTitle: 'Circuit',
  name: 'Name',
  chains: { crank: 'Cranks if one of these ways is closed', kill: 'Kill chain' },
  killBy: 'The engine stops if a way of the kill chain',
  killBys: { ground: 'closes (it grounds the ignition)', feed: 'opens (it feeds fuel or ignition)' },
  way: (number: number) => `Way ${number}`,
  wayTitle: (chain: 'crank' | 'kill', number: number) =>
    `${chain === 'crank' ? 'Crank' : 'Kill'} chain, way ${number}`,
  wayHint: 'In series, from the battery on. Each must be closed.',
  addWay: 'Add a way beside these',
  addKnown: 'Put a part of this circuit in',
  addPart: 'New part',
  up: 'Earlier',
  down: 'Later',
  takeOut: 'Take out',
  takenOut: 'Taken out',
  figures: 'Figures',
  minutes: 'Minutes for the whole search',
  usual: 'Good tries of 100 with a part that fails now and then',
  shakenPercent: 'The same while it is shaken',
  remove: 'Delete the circuit',
  removed: 'Circuit deleted',
  noSwitch:
    'No switch is in either chain, so there is nothing to test. Add one to a way and say which control works it.',
  partUnknown: 'A way names a part that is not in the list.',
  partTwice: 'Two parts have the same key.',
  partTitle: 'Part',
  partName: 'Name',
  missingName: 'Give it a name.',
  kind: 'Kind',
  partKinds: /* @__PURE__ */ named({
    switch: 'Switch',
    relay: 'Relay',
    connector: 'Plug or connector',
    wire: 'Wire or lead',
    fuse: 'Fuse',
    battery: 'Battery',
    solenoid: 'Solenoid',
    starter: 'Starter',
    module: 'Ignition module',
  }),
  control: 'Closed',
  closedAlways: 'Always',
  closedNever: 'Never, unless it is at fault',
  closedWhen: (control: Control, closed: boolean) => `When ${stateText(control, closed)}`,
  perThousand: 'At fault on how many of 1,000 machines',
  passPercent: 'Good tries of 100 when it fails now and then',
  reach: 'Minutes to reach and measure it',
  empty: 'Empty: the usual figure.',
  badNumber: (least: number, most: number) => `Enter a whole number from ${least} to ${most}.`,
}

/** A fault in words: “Seat switch: sticks open now and then”. */
export function faultText({ name, kind }: Pick<CircuitPart, 'name' | 'kind'>, fault: PartFault): string {
  return `${name}: ${(kind === 'switch' || kind === 'relay' ? switchFaults : otherFaults)[fault]}`
}

/** What was looked at, in words: “Does it crank? Brake set, PTO off, shaken”. */
export function testText(
  { check, controls, shaken }: Pick<Observation, 'check' | 'controls' | 'shaken'>,
  part: string,
  used: readonly Control[],
): string {
  const states = used.map((control) => stateText(control, controls[control]))
  const conditions = [...states, ...(shaken ? ['leads and plugs moved'] : [])]
  const what =
    check === 'voltage'
      ? `Voltage after “${part}”`
      : check === 'continuity'
        ? `Continuity of “${part}”`
        : circuit.checks[check]
  return conditions.length ? `${what} (${conditions.join(', ')})` : what
}

/** What was seen, in a few words: “No crank, 0 of 3, hot”. */
export function resultText({ check, tries, yes, heat, wet }: Observation): string {
  // A check that only a newer server knows was answered one way or the other.
  const [good, bad] = circuit.answers[check] ?? ['Yes', 'No']
  const heats: Readonly<Record<Heat, string>> = { unknown: '', cold: 'cold', hot: 'hot' }
  const result =
    yes === 0
      ? `${bad}${tries > 1 ? ` ${tries} of ${tries}` : ''}`
      : `${good}${tries > 1 ? ` ${yes} of ${tries}` : ''}`
  return [result, heats[heat], wet ? 'wet' : ''].filter(Boolean).join(', ')
}
