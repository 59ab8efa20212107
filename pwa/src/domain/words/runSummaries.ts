import { type RunState, STOP_SPANS, type StopKind } from '../contract.ts'
import { named } from '../named.ts'
import { stops } from './plural'

// Words of runs and stops as lists show them. The others (`dispatch.ts`) come with their screens.

/** "49 min", "1 h 22 min": as people say how long they drive. */
function driven(minutes: number): string {
  const hours = Math.floor(minutes / 60)
  const rest = minutes % 60
  if (!hours) return `${rest} min`
  return rest ? `${hours} h ${rest} min` : `${hours} h`
}

export const kinds: Record<StopKind, string> = /* @__PURE__ */ named({
  pickup: 'Pick up',
  return: 'Deliver',
  visit: 'Work on site',
  fetch: 'Fetch parts',
})

export const runStates: Record<RunState, string> = /* @__PURE__ */ named({
  planned: 'Planned',
  locked: 'Locked',
  driving: 'On the road',
  done: 'Finished',
  cancelled: 'Cancelled',
})

/** "Planned arrival: 9:05 AM to 9:35 AM": one of the spans of a stop, as the run sheet calls it too. */
export const span = (name: keyof typeof STOP_SPANS, from: string, to: string) =>
  `${STOP_SPANS[name]}: ${from === to ? from : `${from} to ${to}`}`

/** How long a drive takes, and between what most such drives lie. */
export const drive = (minutes: string, low: string, high: string) =>
  low === high ? `${minutes} min drive` : `About ${minutes} min drive (${low} to ${high})`

export const between = (from: string, to: string) => `${from} to ${to}`

/** Where a machine is to be fetched that another rig was bringing. */
export const onDeckOf = (rig: string) => `On the deck of ${rig}, broken down`

export const today = {
  title: 'On the road today',
  tomorrow: 'On the road tomorrow',
  next: 'Next stop',
  position: (at: number, all: number) => `${at} of ${all}`,
  here: 'You are at',
  open: 'Open the run',
  none: 'No runs today',
  plan: 'Plan runs',
  urgent: 'Urgent call',
  waiting: (count: number) => `${stops(count)} not on a run yet`,
  row: (count: number, done: number) => `${stops(count)}, ${done} done`,
  nobody: 'No driver',
  allDone: 'Every stop is done',
}

/** Of a run: what it drives, and its units. */
export const road = {
  noRig: 'No rig',
  figures: (far: string, unit: string, minutes: number) => `${far} ${unit}, ${driven(minutes)} driving`,
  goOn: 'Next stop',
  weight: 'lb',
  kilo: 'kg',
  mile: 'mi',
  kilometre: 'km',
}
