import { leadTimesMenu, servicesDueMenu } from './dueTablesMenu'

export const servicesDue = {
  title: servicesDueMenu.title,
  machine: 'Machine',
  customer: 'Customer',
  service: 'Service',
  due: 'Due',
  now: 'due now',
  unknown: 'not known yet',
  last: 'Last done',
  never: 'never',
  used: 'Hours since',
  chance: 'By the season',
  dueView: 'Due now',
  soon: 'Within 60 days',
  never_: 'Never done',
}

export const leadTimes = {
  title: leadTimesMenu.title,
  supplier: 'Supplier',
  half: 'Half within',
  most: '9 of 10 within',
  longest: 'Longest',
  waits: 'Lines counted',
  arrivals: 'Arrived',
  usual: 'Usual, as entered',
  few: 'too few',
  beyond: 'not known',
  active: 'In use',
  days: 'Business days from sending the order to the arrival',
}
