/** Words of a job's promised day, as far as its parts decide it. */
export const promises = {
  title: 'When it can be ready',
  by: (day: string) => `By ${day}`,
  chance: (percent: string) => `${percent} chance that all parts are here in time`,
  toCome: (parts: string) => `Still to come: ${parts}`,
  work: (hours: string) => `${hours} h of approved work after that`,
  unknown: 'Can’t say: too little is known of a part or its supplier',
  unknownHint: 'Enter the supplier’s usual days, or the day they gave you.',
  promise: (day: string) => `Promise ${day}`,
  promised: (day: string) => `Promised for ${day}`,
  needBy: (day: string) => `Parts needed by ${day}`,
  inTime: (percent: string) => `${percent} chance that they come in time`,
}
