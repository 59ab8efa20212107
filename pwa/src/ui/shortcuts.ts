/**
 * The key of every act that has a button at the desk, by place. A letter means one thing in a place, and none of those
 * that work everywhere or in a list (`RESERVED`), so that a list and the item beside it never want the same key.
 */
export const SHORTCUTS = {
  today: { clock: 'c', otherWork: 'o', myTime: 'm' },
  job: {
    stage: 's',
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
  },
  quote: {
    offer: 'o',
    send: 's',
    record: 'r',
    revise: 'v',
    withdraw: 'w',
    job: 'b',
    terms: 't',
    labor: 'l',
    part: 'p',
    pdf: 'd',
  },
  customer: { call: 'l', text: 't', edit: 'e', machine: 'm', place: 'p' },
  machine: { edit: 'e', hours: 'h' },
  stop: {
    edit: 'e',
    call: 'l',
    directions: 'w',
    tell: 't',
    move: 'm',
    hand: 'h',
    fail: 'b',
    arrived: 'a',
    left: 'd',
  },
  run: { plan: 'p' },
} as const

export const RESERVED = ['j', 'k', 'x', 'f', 'n', 'u', 'g', '/', '?']

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
