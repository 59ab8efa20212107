import type { CheckListFields } from '../contract.ts'
import { NAMES, TEST_PURPOSE } from './runTests.ts'

/** A list to start from, without ids. `!` before an item: someone can get hurt where it is bad. */
interface ExampleList extends Pick<CheckListFields, 'name'> {
  machine_kind: string
  purpose: string
  items: readonly string[]
}

/**
 * Lists that an owner may start from and then makes their own. Written for this project from common practice of the
 * trade, no source; the manufacturer's manual decides what a machine needs.
 */
export const EXAMPLE_LISTS: readonly ExampleList[] = [
  {
    name: 'Check-in, riding machine',
    machine_kind: '',
    purpose: 'Check-in',
    items: [
      'Fuel: leaks, smell, age, cap',
      'Oil level and color',
      'Battery: terminals, case, hold-down',
      'Tires: pressure, cracks, loose lugs',
      '!Parking brake holds on a slope',
      '!Seat switch: engine stops when you rise with blades on',
      '!Brake or neutral switch: no crank without it',
      '!Blade stop: blades stand still in the time that the manual gives',
      '!Guards, chute and covers all on and tight',
      'Belts: cracks, glaze, tension',
      'Deck: holes, spindles, blades',
      'Steering: play, bent parts',
      'Wiring: bare, pinched, bypassed',
      'Hour meter works',
    ],
  },
  {
    name: 'Yearly service, mower',
    machine_kind: 'mower',
    purpose: 'Yearly service',
    items: [
      'Engine oil and filter changed',
      'Air filter cleaned or new',
      'Spark plug: gap, color',
      'Fuel filter and lines',
      'Carburetor: idle and governed speed',
      'Valve clearance, if the manual asks for it',
      'Cooling fins and screen clean',
      '!Blade: straight, balanced, bolt torque',
      '!Brake or blade clutch stops the blade in time',
      '!Operator presence control stops the engine',
      'Belts and cables',
      'Wheels, bearings, height levers',
      'Grease points done',
      'Test run under load',
    ],
  },
  {
    name: 'Check-in, chipper',
    machine_kind: 'chipper',
    purpose: 'Check-in',
    items: [
      '!Infeed hood and discharge guard in place',
      '!Feed stop bar or stop switch works',
      '!Cover interlock keeps it from starting',
      'Knives: edge, cracks, bolt torque',
      'Gap from knife to anvil',
      'Rotor bearings: play, noise',
      'Belt or clutch',
      'Fuel and oil',
      'Hitch, safety chains, lights, tires',
    ],
  },
  {
    name: 'Tests before release',
    machine_kind: '',
    purpose: TEST_PURPOSE,
    // Not those that only some complaints ask for.
    items: [
      NAMES.leaks,
      NAMES.charge_voltage,
      NAMES.idle_speed,
      NAMES.governed_speed,
      `!${NAMES.brake_hold}`,
      `!${NAMES.blade_stop_time}`,
      `!${NAMES.interlock}`,
    ],
  },
]

/** The items of an example, each with an id of its own. */
export function itemsOfExample({ items }: ExampleList, newId: () => string) {
  return items.map((text) => ({
    id: newId(),
    words: text.replace(/^!/u, ''),
    critical: text.startsWith('!'),
  }))
}
