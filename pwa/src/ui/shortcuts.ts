/**
 * The key of every act of an item that has a button at the desk, by place. A letter means one thing in a place, and none
 * of those that work everywhere or in a list (`RESERVED`), so that a list and the item beside it never want the same key.
 * What cannot be undone, such as withdrawing a quote, has no key: a letter is pressed by mistake sooner than a button.
 */
export const SHORTCUTS = {
  today: { clock: 'c', otherWork: 'o', myTime: 'm' },
  job: {
    stage: 's',
    bench: 'b',
    quote: 'q',
    text: 't',
    call: 'l',
    directions: 'w',
    clock: 'c',
    otherWork: 'o',
    finding: 'a',
    complaint: 'h',
    pickup: 'p',
    return: 'r',
    visit: 'v',
    edit: 'e',
    addedQuote: 'd',
    bill: 'i',
  },
  quote: {
    labor: 'l',
    part: 'p',
    travel: 't',
    fee: 'e',
    supplies: 'y',
    discount: 'd',
    terms: 'm',
    offer: 'o',
    send: 's',
    record: 'r',
    revise: 'v',
    pdf: 'i',
    job: 'b',
  },
  customer: { job: 'n', call: 'l', write: 'm', edit: 'e', machine: 'a', place: 'p' },
  machine: { job: 'n', edit: 'e', hours: 'h' },
  stop: {
    arrived: 'a',
    hand: 'h',
    left: 'd',
    nobody: 'b',
    fail: 'i',
    tell: 'y',
    call: 'l',
    text: 't',
    directions: 'w',
    place: 'p',
    edit: 'e',
    move: 'm',
  },
  run: { lock: 'l' },
} as const

/** Those of a list and of the whole desk; N is new, of what is shown. */
export const RESERVED = ['j', 'k', 'x', 'f', 'u', 'g', '/', '?']

type Table = typeof SHORTCUTS

/** "job.text": the act of a button, by its place. */
export type Shortcut = {
  [Place in keyof Table]: `${Place}.${Extract<keyof Table[Place], string>}`
}[keyof Table]

/** The place and the key of an act. */
export function shortcutOf(shortcut: Shortcut): { where: keyof Table; key: string } {
  const [where, act] = shortcut.split('.') as [keyof Table, string]
  return { where, key: (SHORTCUTS[where] as Record<string, string>)[act] ?? '' }
}
