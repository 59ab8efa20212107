/** What other apps share to this one: the service worker keeps it, the page reads it. The names are stored on phones. */
export const SHARED = {
  /** The address that other apps post to, and the screen that asks where to put it. */
  path: '/share',
  /** The cache that holds it until it has a place. */
  cache: 'drawbar-shared',
  /** Headers of a picture there: its file name, percent-encoded, and when it was shared, in ms; a form has no older time. */
  name: 'x-file-name',
  at: 'x-shared-at',
  /** The most pictures and texts that wait: any website can post a form to the address. */
  most: 20,
  /** The longest text that is kept; the rest is in the app it came from. */
  longest_text: 2000,
} as const

/** Formats that the server reads and some browsers do not. */
export const READ_BY_SERVER = /^image\/hei[cf]$|\.hei[cf]$/i
