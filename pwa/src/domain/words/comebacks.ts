import { counted } from './plural'

/** A job that has to do work of an earlier job again, and the warranty of billed work. */
export const comebacks = {
  ask: 'Is it a comeback?',
  newWork: 'No, new work',
  of: (job: string) => `Comeback of job ${job}`,
  doneOn: (day: string) => `Opened ${day}`,
  unlink: 'Not a comeback',
  unlinked: 'No longer a comeback',
  back: 'Comebacks',
  cost: 'What the comeback has cost',
  hours: 'Hours clocked',
  labor: 'Cost of the hours',
  parts: 'Cost of parts',
  billed: 'Billed, without tax',
  unbilled: 'Cost not billed',
  hourUnknown: 'Enter what an hour costs you under Invoices and payments to see it in money.',
  unknownCosts: (count: number) => `${counted(count, 'part', 'parts')} without a cost, not counted`,
}

export const warranty = {
  title: 'Under warranty',
  hint: 'By the invoices of this machine',
  untilDay: (day: string) => `Until ${day}`,
  untilEither: (day: string, hours: string) => `Until ${day} or ${hours} h on the meter, whichever is first`,
  untilHoursAlone: (hours: string) => `Until ${hours} h on the meter`,
  noReading: 'Not known: no meter reading when it was billed',
  notReadSince: 'Not known: no meter reading since it was billed',
}
