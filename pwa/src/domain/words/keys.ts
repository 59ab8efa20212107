// Words of the keyboard: the line of keys, their list, and what a key does.

export const keys = {
  /** The heads of the list of keys, from what works everywhere to what is most particular. */
  places: {
    anywhere: 'Anywhere',
    list: 'In a list',
    board: 'On the board',
    job: 'On a job',
    quote: 'On a quote',
    customer: 'On a customer',
    machine: 'On a machine',
    stop: 'On a stop',
    run: 'On a run',
    today: 'On Today',
  },
  /** Keys that are not written as their letter. */
  names: {
    ArrowUp: '↑',
    ArrowDown: '↓',
    ArrowLeft: '←',
    ArrowRight: '→',
    Enter: 'Enter',
    Escape: 'Esc',
    Shift: 'Shift',
    PageUp: 'Page up',
    PageDown: 'Page down',
  } as Record<string, string>,
  /** Spoken for an arrow. */
  spoken: { ArrowUp: 'up', ArrowDown: 'down', ArrowLeft: 'left', ArrowRight: 'right' } as Record<
    string,
    string
  >,
  or: 'or',
  line: 'Keys that work here',
  all: 'all keys',
  title: 'Keys',
  offHint: 'Single-key shortcuts are off. Turn them on under More, This phone.',
  close: 'Close',
}
