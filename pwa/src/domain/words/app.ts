import { named } from '../named.ts'

/** Words that every screen shares. */
export const app = {
  name: 'Drawbar',
  back: 'Back',
  today: 'Today',
  /** The places of the bar, in its order. */
  places: /* @__PURE__ */ named({
    today: 'Today',
    jobs: 'Jobs',
    'new-job': 'New',
    road: 'Road',
    more: 'More',
  }),
  placesLabel: 'Places',
  settings: 'Settings',
  skip: 'Skip to the work',
  more: (count: number) => `Show ${count} more`,
  saved: 'Saved',
  savedHere: 'Saved on this phone',
  tooLong: 'Too long; write less here',
  notSaved: 'Not saved. What you typed is still here; try again.',
  undo: 'Undo',
  undone: 'Undone',
  dismiss: 'Put this message away',
  loading: 'Looking',
  stale: (when: string) => `As of ${when}`,
  failed: 'This could not be read from the phone',
  tryAgain: 'Try again',
  broken: 'This screen broke',
  brokenHint:
    'Nothing you saved is lost, and what you typed is kept. Try once more; if it breaks again, copy out what waits under “To send” and tell the owner of the shop.',
  notFound: 'Not on this phone',
  notFoundHint: 'It may come with the next signal, or it was taken out.',
  listed: (words: string[]) => words.join(', '),
  joined: (words: readonly (string | undefined)[]) => words.filter(Boolean).join(' · '),
  noName: 'No name',
  unnamedMachine: 'Machine',
  number: (text: string) => text,
}
