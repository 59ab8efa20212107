import type { EntryKind } from '../contract.ts'
import { named } from '../named.ts'

const kinds: Record<EntryKind, string> = /* @__PURE__ */ named({
  repair: 'Repair',
  diagnosis: 'Diagnosis',
  travel: 'Travel',
  errand: 'Errand',
  rework: 'Rework',
  shop: 'Shop time',
})

/** "1:05" out of whole minutes. */
export const length = (minutes: number) =>
  `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}`

/** Words of the clock that runs, as Today and a job show it. The others (`words.clock`) come with their screens. */
export const clockFace = {
  title: 'Clock',
  titleOnJob: 'Clock of this job',
  kinds,
  start: 'Start the clock',
  choose: 'What are you working on?',
  switchTo: 'Switch to this job',
  stop: 'Stop',
  stopClock: 'Stop the clock',
  running: (minutes: number) => length(minutes),
  runningLabel: (hours: number, minutes: number) => `Running for ${hours} h ${minutes} min`,
  since: (time: string) => `since ${time}`,
  otherWork: 'Something else',
  otherKind: 'Something else on this job',
  myTime: 'My time',
  begun: 'Job in repair, clock started',
  started: (kind: string) => `Clock running: ${kind}`,
  stopped: (minutes: number) => `Stopped after ${length(minutes)}`,
  longHint: (hours: number) => `Running for more than ${hours} hours. Did you stop and forget the clock?`,
  stoppedAt: 'I stopped at …',
  twoRun: 'Two of your clocks are running. Stop ends both; then pick the right one.',
  from: (start: string, end: string) => `${start} – ${end}`,
  fromOn: (start: string) => `${start} – now`,
}
