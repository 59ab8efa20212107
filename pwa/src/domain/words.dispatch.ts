import type { Failure, Need, Priority, RunState, StopKind, StopState } from './rows'
import { stops } from './words.plural'

// Words of stops, runs and driving; those of rigs and the yard (words.rig) come with their screens.

export { hand } from './words.handover'
export { plan } from './words.plan'
export { stops } from './words.plural'
export { check, move, run } from './words.run'
export { ask, place, size, stop } from './words.stop'

export const kinds: Record<StopKind, string> = {
  pickup: 'Fetch',
  return: 'Bring back',
  visit: 'Work there',
}

export const states: Record<StopState, string> = {
  asked: 'Not planned yet',
  planned: 'Planned',
  driving: 'On the way',
  arrived: 'There now',
  left: 'Done',
  failed: 'Came to nothing',
  dropped: 'Taken out',
}

export const runStates: Record<RunState, string> = {
  planned: 'Planned',
  locked: 'Locked',
  driving: 'On the road',
  done: 'Home',
  cancelled: 'Called off',
}

export const failures: Record<Failure, string> = {
  nobody_home: 'Nobody home',
  gate_locked: 'Gate locked',
  too_wet: 'Too wet',
  machine_not_ready: 'Machine not ready',
  other: 'Something else',
}

export const needs: Record<Need, string> = {
  winch: 'Winch',
  ramp: 'Ramp',
  two_people: 'Two people',
}

export const priorities: Record<Priority, string> = {
  usual: 'As it comes',
  soon: 'Soon',
  first: 'Before others',
}

export const plannedFor = (from: string, to: string) => `planned ${from} to ${to}`
export const plannedAt = (at: string) => `planned ${at}`
/** How long a drive takes, and between what most such drives lie. */
export const drive = (minutes: string, low: string, high: string) =>
  low === high ? `${minutes} min drive` : `${minutes} min drive, mostly ${low} to ${high}`
export const between = (from: string, to: string) => `${from} to ${to}`

/** Leads to the screen of tags. */
export const findTag = 'Tag of a machine'
/** Where a machine is to be fetched that another rig was bringing. */
export const onDeckOf = (rig: string) => `On the deck of ${rig}, broken down`
export const noSite = 'The place is not on this phone'

export const today = {
  title: 'On the road today',
  tomorrow: 'On the road tomorrow',
  next: 'Next stop',
  here: 'You are at',
  open: 'Open the run',
  none: 'No run today',
  plan: 'Plan runs',
  urgent: 'Somebody calls, it cannot wait',
  waiting: (count: number) => `${stops(count)} not on a run yet`,
  row: (count: number, done: number) => `${stops(count)}, ${done} done`,
  nobody: 'No driver',
  allDone: 'Every stop is done',
}

export const job = {
  title: 'On the road',
  fetch: 'Fetch it',
  bring: 'Bring it back',
  visit: 'Go there',
  none: 'Nothing to drive for this job',
  failed: (why: string) => `Came to nothing: ${why}`,
  on: (day: string, rig: string) => `${day}, ${rig}`,
}

export const paper = {
  waiting: 'The paper is being made.',
  failed: (why: string) => `No paper came of it. ${why}`,
  asked: 'Paper asked for; it comes with a signal',
  sheet: 'Make the run sheet',
  openSheet: 'Open the run sheet',
  tag: 'Print its tag',
  openTag: 'Open the tag to print',
  code: 'On its tag',
}

export const calendar = {
  title: 'Calendar of your runs',
  hint: 'An address for your own calendar program. Whoever knows it can read your runs: keep it to yourself.',
  show: 'Show the address',
  make: 'Make an address',
  withdraw: 'Withdraw this address',
  looking: 'Looking …',
  noSignal: 'This needs a signal. Try again when there is one.',
}
