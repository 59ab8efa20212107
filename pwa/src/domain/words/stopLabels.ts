import type { Failure, Need, Priority, StopState } from '../contract.ts'
import { named } from '../named.ts'

// Words of stops, their printouts and the calendar of runs.

export const states: Record<StopState, string> = /* @__PURE__ */ named({
  asked: 'Not planned yet',
  planned: 'Planned',
  driving: 'On the way',
  arrived: 'There now',
  left: 'Done',
  failed: 'Came to nothing',
  dropped: 'Taken out',
})

export const failures: Record<Failure, string> = /* @__PURE__ */ named({
  nobody_home: 'Nobody home',
  gate_locked: 'Gate locked',
  too_wet: 'Too wet',
  machine_not_ready: 'Machine not ready',
  other: 'Something else',
})

export const needs: Record<Need, string> = /* @__PURE__ */ named({
  winch: 'Winch',
  ramp: 'Ramp',
  two_people: 'Two people',
})

export const priorities: Record<Priority, string> = /* @__PURE__ */ named({
  usual: 'As it comes',
  soon: 'Soon',
  first: 'Before others',
})

/** Leads to the screen of tags. */
export const findTag = 'Tag of a machine'
export const noSite = 'The place is not on this phone'

export const job = {
  title: 'On the road',
  fetch: 'Fetch it',
  bring: 'Bring it back',
  visit: 'Go there',
  none: 'Nothing to drive for this job',
  failed: (why: string) => `Came to nothing: ${why}`,
  on: (day: string, rig: string) => `${day}, ${rig}`,
}

export const printouts = {
  waiting: 'Making the PDF.',
  failed: (why: string) => `Couldn’t make the PDF. ${why}`,
  asked: 'PDF asked for; it comes when you have signal',
  sheet: 'Make the run sheet',
  openSheet: 'Open the run sheet',
  tag: 'Print its tag',
  openTag: 'Open the tag to print',
  code: 'On its tag',
}

export const calendar = {
  title: 'Calendar of your runs',
  hint: 'An address for your own calendar program. Anybody who knows it can read your runs: keep it to yourself.',
  show: 'Show the address',
  make: 'Make an address',
  withdraw: 'Withdraw this address',
  looking: 'Looking …',
  noSignal: 'This needs a signal. Try again when there is one.',
}
