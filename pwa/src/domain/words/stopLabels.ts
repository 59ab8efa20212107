import type { Failure, Need, Priority, StopState } from '../contract.ts'
import { named } from '../named.ts'

// Words of stops, their printouts and the calendar of runs.

export const states: Record<StopState, string> = /* @__PURE__ */ named({
  asked: 'Not planned yet',
  planned: 'Planned',
  driving: 'On the way',
  arrived: 'On site',
  left: 'Done',
  failed: 'Not done',
  dropped: 'Cancelled',
})

export const failures: Record<Failure, string> = /* @__PURE__ */ named({
  nobody_home: 'Nobody home',
  gate_locked: 'Gate locked',
  too_wet: 'Ground too wet',
  machine_not_ready: 'Machine not ready',
  other: 'Other',
})

export const needs: Record<Need, string> = /* @__PURE__ */ named({
  winch: 'Winch',
  ramp: 'Ramp',
  two_people: 'Two people',
})

export const priorities: Record<Priority, string> = /* @__PURE__ */ named({
  usual: 'Normal',
  soon: 'Soon',
  first: 'First',
})

/** Leads to the screen of tags. */
export const findTag = 'Scan or type a machine tag'
export const noSite = 'The place isn’t on this phone yet'

export const job = {
  title: 'On the road',
  fetch: 'Pick it up',
  bring: 'Deliver it',
  visit: 'Visit on site',
  none: 'No trips for this job',
  failed: (why: string) => `Not done: ${why}`,
  on: (day: string, rig: string) => `${day}, ${rig}`,
}

export const printouts = {
  waiting: 'Making the PDF.',
  failed: (why: string) => `Couldn’t make the PDF. ${why}`,
  asked: 'PDF requested; it comes when you have signal',
  sheet: 'Make run sheet',
  openSheet: 'Open run sheet',
  tag: 'Print its tag',
  openTag: 'Open the tag to print',
  code: 'Tag code',
}

export const calendar = {
  title: 'Your runs in a calendar',
  hint: 'A private link for your calendar app. Anyone who has it can see your runs.',
  show: 'Show the link',
  make: 'Make a link',
  withdraw: 'Turn off this link',
  looking: 'Loading …',
  noSignal: 'Needs signal. Try again when you have it.',
}
