import { named } from '../named.ts'

/** Writes a figure of the working with its unit, to so many digits. */
export type ShowFigure = (name: string, digits?: number) => string

/** Words of the calculators. A result is never called safe or right: the manufacturer's figure comes first. */
export const calculators = {
  unit: 'Unit',
  waiting: 'Fill in the fields; the result shows here as you type.',
  working: 'Working',
  sources: 'Where this comes from',
  makerFirst: 'Common practice. The manufacturer’s figure comes first.',
  clear: 'Clear',
  cleared: 'Cleared',
  optional: 'Optional',
  use: (figure: string) => `Use ${figure}`,
  useHint: 'As the reading',
}

export const names = /* @__PURE__ */ named({
  conversion: 'Units',
  fastener_torque: 'Fastener torque check',
  wrench_adapter: 'Torque wrench with adapter',
  battery: 'Battery charge',
  charging: 'Charging voltage',
  compression: 'Compression, two cylinders',
  leak_down: 'Leak-down',
  coolant: 'Coolant drained and refilled',
  fuel_mix: 'Two-stroke mix',
  belt_speed: 'Belt and pulleys',
})

export const abouts = /* @__PURE__ */ named({
  conversion: 'Torque, length, pressure, volume and more',
  fastener_torque: 'Can this torque belong to this bolt?',
  wrench_adapter: 'What to set the wrench to',
  battery: 'From voltage or gravity and temperature',
  charging: 'At the battery, engine at full speed',
  compression: 'Low against high',
  leak_down: 'From the two gauges',
  coolant: 'Is air trapped?',
  fuel_mix: 'Oil for this much fuel',
  belt_speed: 'Driven speed and belt speed',
})

export const inputs = /* @__PURE__ */ named({
  value: 'Value',
  thread: 'Thread',
  grade: 'Grade on the head',
  torque: 'Torque',
  wrench: 'Wrench, drive to grip',
  adapter: 'Adapter, drive to fastener',
  angle: 'Angle off the wrench',
  reading: 'Rested voltage or gravity',
  temperature: 'Battery temperature',
  meter: 'Meter sure to ±',
  running: 'At the battery, running',
  rested: 'At the battery, rested',
  stator: 'Stator, AC, unplugged',
  cylinder_1: 'Cylinder 1',
  cylinder_2: 'Cylinder 2',
  supplied: 'Pressure in',
  held: 'Pressure held',
  drained: 'Drained',
  refilled: 'Went back in',
  fuel: 'Fuel',
  ratio: 'Parts of fuel to 1 of oil',
  driver: 'Driving pulley',
  driven: 'Driven pulley',
  speed: 'Driving pulley turns at',
})

export const results = /* @__PURE__ */ named({
  least: 'Improbable below',
  most: 'Improbable above',
  setting: 'Set the wrench to',
  charge: 'State of charge',
  corrected: 'At 80 °F (27 °C)',
  freezes: 'May freeze at about',
  running: 'Running',
  rise: 'Rise over rested',
  ratio: 'Low to high',
  difference: 'Difference',
  leak: 'Leaks',
  back: 'Back in',
  missing: 'Still missing',
  oil_ml: 'Oil',
  oil_fl_oz: 'Oil',
  mixed: 'Together',
  driven_speed: 'Driven pulley turns at',
  belt_ft_min: 'Belt speed',
  belt_m_s: 'Belt speed',
  turn_ratio: 'Turns per turn of the driver',
})

/** "M8x1.25" as "M8 × 1.25", "5" as "Grade 5". */
export const choiceText = (input: string, choice: string): string =>
  input === 'grade' && !choice.includes('.') ? `Grade ${choice}` : choice.replace('x', ' × ')

const verdictWords: Readonly<Record<string, readonly [short: string, more: string]>> = {
  plausible: [
    'Plausible',
    'This torque can belong to this bolt. That doesn’t make it the right one: use the manufacturer’s.',
  ],
  too_low: ['Too low', 'Less than a quarter of what this bolt usually gets. Check the unit and the bolt.'],
  too_high: [
    'Too high',
    'More than the bolt’s proof load allows, even dry. Check the unit, the thread and the grade.',
  ],
  surface_charge: [
    'More than full',
    'Fresh from a charger, or not a flooded battery. Let it rest six hours and measure again.',
  ],
  charged: ['Charged', 'Enough to test it under load. Voltage alone doesn’t show a weak cell.'],
  charge_it: ['Charge it', 'Below 75 %: charge it before testing anything else.'],
  flat: ['Flat', 'Charge it slowly and test it again. A battery left flat may not come back.'],
  charging: ['Within the usual band', 'Some manufacturers ask for at least 14.0 V, some for at most 14.5 V.'],
  charging_low: ['Low', 'Look at connections, regulator and stator output before replacing anything.'],
  not_charging: ['Not charging', 'Barely above rest. Check fuse, connections and stator output.'],
  stator_weak: ['Stator output low', 'The stator gives too little before the regulator.'],
  overcharging: [
    'Too high',
    'Above what manufacturers give: it boils the battery. Check regulator and grounds.',
  ],
  alike: ['Alike', 'Within 10 % of each other.'],
  apart: ['Apart', 'More than 10 % apart. Do a leak-down on the low one.'],
  far_apart: [
    'Far apart',
    'The low one is under 75 % of the high one. Do a leak-down and listen where it leaks.',
  ],
  leak_usual: ['Usual', 'Up to 12 % is usual on an engine that runs well.'],
  leak_worn: ['Worn', '12 to 20 %: worn, and worth watching.'],
  leak_find: [
    'Find the leak',
    'Over 20 %. Listen: carburetor is the intake valve, muffler the exhaust valve, dipstick the rings, bubbles in the coolant the head gasket.',
  ],
  air_trapped: [
    'Air trapped',
    'Far less went back in than came out. Bleed it and top it up before it runs hot.',
  ],
  not_full_yet: ['Not full yet', 'Warm it up, let it cool, top it up; repeat until the level stays.'],
  full: ['As much as came out', 'Check the level again once it has been hot and is cold.'],
  was_low: ['More than came out', 'It was low before. Find out where that went.'],
}

/** The verdict in a word or two, and what follows from it. */
export const verdictOf = (code: string): readonly [short: string, more: string] =>
  verdictWords[code] ?? [code.replaceAll('_', ' '), '']

const stepWords: Readonly<Record<string, (f: ShowFigure) => string>> = {
  one_is: (f) => `${f('one')} = ${f('factor', 9)}, so ${f('value')} = ${f('other')}`,
  to_celsius: (f) => `(${f('value')} − 32) × 5/9 = ${f('other')}`,
  to_fahrenheit: (f) => `${f('value')} × 9/5 + 32 = ${f('other')}`,
  area_mm: (f) => `Stress area: π/4 × (${f('d')} − 0.9382 × ${f('p')})² = ${f('a')} mm²`,
  area_in: (f) => `Stress area: π/4 × (${f('d')} − 0.9743 × ${f('p')})² = ${f('a')} in²`,
  proof: (f) => `Proof load: area × ${f('stress')} = ${f('proof')}`,
  clamp: (f) => `Usual clamp load, 75 % of that: ${f('clamp')}`,
  torque: (f) =>
    `Torque = K × diameter × clamp load: ${f('oiled')} oiled (K ${f('low')}), ${f('dry')} dry (K ${f('high')})`,
  bounds: (f) =>
    `Improbable below a quarter of the oiled torque, ${f('least')}, or above the dry torque at full proof load, ${f('most')}`,
  unit_slip: (f) => `${f('torque')} would fit. Was the unit mixed up?`,
  length_with_adapter: (f) =>
    `Length with the adapter: ${f('wrench')} and ${f('adapter')} at its angle make ${f('length')}`,
  setting: (f) => `${f('torque')} × ${f('wrench')} ÷ ${f('length')} = ${f('setting')}`,
  battery_volts: (f) =>
    `${f('reading')} at ${f('temperature')} reads as ${f('corrected')} at 80 °F: ${f('correction')} for the temperature (0.024 V for 10 °F; a cold battery shows less)`,
  battery_gravity: (f) =>
    `${f('reading')} at ${f('temperature')} reads as ${f('corrected')} at 80 °F: ${f('correction')} for the temperature (0.004 for 10 °F; a cold one shows more)`,
  battery_table: (f) => `By the table, ${f('corrected')} is ${f('charge')} charged`,
  battery_freezes: (f) => `Acid of about ${f('gravity')} may freeze at about ${f('freezes')}`,
  battery_meter: (f) => `With a meter sure to ±${f('meter')} it could be ${f('low', 3)} to ${f('high', 3)}`,
  charging_band: (f) => `${f('running')} against ${f('low')} to ${f('high')}`,
  charging_rise: (f) => `${f('running')} − ${f('rested')} = ${f('rise')}`,
  charging_stator: (f) => `Stator ${f('stator')} AC against at least ${f('least')} at full speed`,
  low_of_high: (f) => `${f('low')} ÷ ${f('high')} = ${f('ratio')}`,
  difference: (f) => `${f('high')} − ${f('low')} = ${f('difference')}`,
  leak: (f) => `(${f('supplied')} − ${f('held')}) ÷ ${f('supplied')} = ${f('leak')}`,
  share_back: (f) => `${f('refilled')} ÷ ${f('drained')} = ${f('back')}`,
  missing: (f) => `${f('drained')} − ${f('refilled')} = ${f('missing')}`,
  oil: (f) => `${f('fuel')} ÷ ${f('ratio')} = ${f('oil')} of oil`,
  oil_share: (f) => `That is ${f('share')} of the fuel`,
  pulley_ratio: (f) => `${f('driver')} ÷ ${f('driven')} = ${f('ratio')}`,
  driven_speed: (f) => `${f('speed')} × ${f('ratio')} = ${f('driven_speed')}`,
  belt_speed: (f) => `π × ${f('driver')} × ${f('speed')} = ${f('belt')}`,
}

export const stepText = (code: string, show: ShowFigure): string =>
  stepWords[code]?.(show) ?? code.replaceAll('_', ' ')

export const sources = /* @__PURE__ */ named({
  nist_sp_811: 'NIST SP 811, appendix B: 1 in = 25.4 mm and 1 lb = 0.45359237 kg exactly',
  iso_898_1: 'ISO 898-1: stress areas, proof stress of 8.8 and 10.9',
  sae_j429: 'SAE J429: proof stress of grades 2, 5 and 8',
  torque_charts:
    'Charts of torque and tension: K 0.15 oiled to 0.20 plain and dry. A torque wrench leaves the clamp load uncertain by about a quarter.',
  wrench_makers: 'Instructions of torque wrench makers',
  tm_9_254: 'US Army TM 9-254: the form with the angle',
  bci_table:
    'Table of the battery makers’ association (BCI) for 12 V flooded batteries after six hours’ rest',
  army_freezing: 'Freezing points: US Army ordnance tables',
  engine_makers_charging:
    'Service manuals of engine makers: 13.5 to 14.5 V or 14.0 to 15.0 V, stator at least 20 V AC at 3600 rpm',
  compression_practice:
    'Common practice: at most 10 % apart; a car maker’s manual: lowest at least 75 % of highest. A compression release lowers both figures.',
  leak_down_practice: 'Common practice, no standard: other shops call up to 20 % good',
  coolant_practice: 'An engine maker’s manual: half back means air is trapped. The other limits are ours.',
  fuel_practice: 'Arithmetic. The ratio is on the machine or in its manual.',
  pulley_arithmetic:
    'Arithmetic, without slip. Measure where the belt runs, somewhat inside the rim of a V pulley.',
})

/** Of work that can hurt, by calculator. */
export const cautions: Readonly<Record<string, string>> = {
  battery:
    'Battery gas can explode and acid burns: eye protection, no spark, no flame. Never charge or jump a frozen battery.',
  charging: 'The engine runs: hands, sleeves and leads away from what turns. Outdoors, or exhaust vented.',
  compression:
    'The crankshaft turns: blades and attachments disengaged, hands away, nobody in front of the plug hole.',
  leak_down:
    'Air pressure can turn the engine and its blades without warning. Hold the crankshaft, keep clear.',
  coolant: 'Never open a hot cooling system: let it cool until you can keep your hand on it.',
  fuel_mix: 'Fuel: outdoors, cold engine, no spark or flame, an approved can on the ground.',
}
