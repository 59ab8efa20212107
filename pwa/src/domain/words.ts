import { asking } from './words.asking'
import { clock } from './words.clock'
import { dispatch } from './words.dispatch'
import { hours } from './words.hours'
import { messages } from './words.messages'
import { pictures } from './words.pictures'
import { agreed, before, quote } from './words.quote'
import { shop } from './words.shop'
import { work } from './words.work'

/**
 * Every word a person reads or hears from the app, in English.
 *
 * Another language is an object of the type `Messages`; a key it lacks does not compile.
 */
export const en = {
  app: {
    name: 'Drawbar',
    back: 'Back',
    today: 'Today',
    settings: 'Settings',
    skip: 'Skip to the work',
    more: (count: number) => `Show ${count} more`,
    saved: 'Saved',
    savedHere: 'Saved on this phone',
    notSaved: 'Not saved. What you wrote still stands here; try again.',
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
    number: (text: string) => text,
  },
  ...work,
  asking,
  hours,
  clock,
  dispatch,
  messages,
  pictures,
  quote,
  agreed,
  before,
  ...shop,
}

export type Messages = typeof en
