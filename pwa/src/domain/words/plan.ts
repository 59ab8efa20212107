import { YARD_MISSING } from '../messages/fields'
import { named } from '../named.ts'
import { stops } from './plural'

/** Words of planning. */
export const plan = {
  title: 'Plan runs',
  days: 'Which days',
  oneDay: 'One day',
  week: 'This day and four more',
  day: 'Day',
  today: 'Today',
  tomorrow: 'Tomorrow',
  rigs: 'Rigs on duty',
  noRigs: 'No rig written down yet',
  noRigsHint: 'A rig is a truck with its trailer: what it weighs, what it may carry.',
  addRig: 'Add a rig',
  yard: 'The yard and how we drive',
  noYard: YARD_MISSING,
  out: 'Broken down',
  waiting: 'Stops not on a run',
  noWaiting: 'Every stop that was asked for is on a run',
  runs: 'Runs so far',
  ask: 'Plan',
  askHint: (count: number) => `${stops(count)} to be placed`,
  askFromNow: 'From where the rigs are now',
  noSignal:
    'Planning needs a signal: it is asked for now and done with the next one. Moving stops by hand needs none.',
  queued: 'Asked for; waits for its turn',
  running: (percent: string) => `Planning, ${percent} done`,
  cancel: 'Stop planning',
  cancelled: 'Planning was stopped. The runs are as they were.',
  failed: 'No plan came of it',
  answer: 'The plan',
  taken: 'This plan was taken',
  take: 'Take this plan',
  takeHint: 'The runs become as shown here',
  again: 'Plan again',
  proven: 'No better plan exists for what was entered.',
  nothing:
    'No stop could be placed on this day. Stops whose times are on other days are not tried; choose another day.',
  partial: 'Not every stop found a place.',
  roads: /* @__PURE__ */ named({
    rule: 'Travel times by the shop’s own rule.',
    service: 'Travel times from the road service.',
    fallback: 'The road service did not answer; travel times by the shop’s own rule.',
  }),
  leftOut: 'Left out, and why',
  run: (rig: string, day: string) => `${rig}, ${day}`,
  stop: (number: number, name: string) => `${number} ${name}`,
  asked: 'Plan asked for',
  tookIt: 'Plan taken; the runs come with the next signal',
  of: (days: string[]) => days.join(', '),
}
