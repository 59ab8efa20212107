import { named } from '../named.ts'

/** Words of a machine's services: when the next is due and why. */
export const services = {
  title: 'Service',
  record: 'Service done',
  save: 'Save',
  formTitle: 'Service done',
  what: 'What was done',
  on: 'Done on',
  wrongDay: 'Enter a day up to today',
  hours: 'Hours on the meter that day',
  hoursHint: 'Optional. It’s kept as a reading.',
  wrongHours: 'Enter a plain number',
  missing: 'Enter what was done',
  none: 'Add services on a sheet of this machine to see when they’re due.',
  never: 'Not recorded yet when it was last done',
  unknown: 'Due day unknown: no hours on its meter to go by',
  due: (day: string) => `about ${day}`,
  now: 'due now',
  between: (earliest: string, latest: string) => `8 of 10 chance it’s due ${earliest} to ${latest}`,
  from: (earliest: string) => `from ${earliest} at the earliest`,
  used: (used: string, hours: string) => `${used} of ${hours} h used`,
  last: (day: string) => `last done ${day}`,
  season: (percent: string, day: string) => `${percent} chance it’s due by ${day}`,
  why: /* @__PURE__ */ named({
    readings: 'by its meter readings',
    two_readings: 'by two meter readings, so only a rough day',
    other_machines: 'by one meter reading and the pace of others of its kind',
    months: 'by the calendar',
    meter_falls: 'by the calendar; its meter readings go down, so record a new meter',
  }),
}
