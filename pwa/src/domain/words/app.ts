import { named } from '../named.ts'

/** Words that every screen shares. */
export const app = {
  name: 'Drawbar',
  back: 'Back',
  close: 'Close',
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
  skip: 'Skip to content',
  more: (count: number) => `Show ${count} more`,
  saved: 'Saved',
  savedHere: 'Saved on this phone',
  tooLong: 'Too long. Shorten this',
  notSaved: 'Not saved. What you typed is still here. Try again.',
  undo: 'Undo',
  undone: 'Undone',
  dismiss: 'Dismiss',
  loading: 'Loading',
  stale: (when: string) => `As of ${when}`,
  failed: 'Couldn’t read this from the phone',
  tryAgain: 'Try again',
  broken: 'Something went wrong on this screen',
  brokenHint:
    'Nothing you saved is lost and what you typed is kept. Try again. If it happens again, copy what’s under “To send” and tell the shop owner.',
  notFound: 'Not on this phone',
  notFoundHint: 'It may not have synced yet, or it was deleted.',
  listed: (words: string[]) => words.join(', '),
  noDate: 'No date',
  noTime: 'No time',
  joined: (words: readonly (string | undefined)[]) => words.filter(Boolean).join(' · '),
  noName: 'No name',
  unnamedMachine: 'Machine',
  number: (text: string) => text,
}
