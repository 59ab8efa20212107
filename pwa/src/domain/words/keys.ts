// Words of the keyboard and of the search at the desk.

export const keys = {
  /** The heads of the list of keys, from what works everywhere to what is most particular. */
  places: {
    anywhere: 'Anywhere',
    list: 'In a list',
    board: 'On the board',
    week: 'In the week',
    today: 'On Today',
    job: 'On a job',
    quote: 'On a quote',
    customer: 'On a customer',
    machine: 'On a machine',
    stop: 'On a stop',
    run: 'On a run',
  },
  /** Keys that are not written as their letter. */
  names: {
    ArrowUp: '↑',
    ArrowDown: '↓',
    ArrowLeft: '←',
    ArrowRight: '→',
    Escape: 'Esc',
    PageUp: 'Page up',
    PageDown: 'Page down',
    ' ': 'Space',
  } as Readonly<Record<string, string>>,
  line: 'Keys that work here',
  list: 'All keys',
  or: 'or',
  search: 'Search',
  goTo: (place: string) => `Go to ${place}`,
  up: 'Move up',
  down: 'Move down',
  open: 'Open',
  undo: 'Undo the last step',

  close: 'Close',
  off: 'Single-key shortcuts are off. Turn them on under More, This phone.',
  setting: 'Single-key shortcuts',
  settingHint: 'Letters such as N or /. Arrows, Enter and Esc always work.',
  settings: { on: 'On', off: 'Off' },
}

export const deskSearch = {
  label: 'Name, phone, serial, number, or what to do',
  hint: 'Finds names, numbers, phones, serials and what you can do. Searches this computer; works without signal.',
  kinds: {
    job: 'Jobs',
    customer: 'Customers',
    machine: 'Machines',
    quote: 'Quotes',
    stop: 'Stops',
    act: 'Do',
    last: 'Last searches',
  },
  fields: {
    customer: 'customer',
    person: 'contact',
    phone: 'phone',
    email: 'email',
    address: 'address',
    machine: 'machine',
    serial: 'serial',
    engine: 'engine',
    tag: 'tag',
  },
  /** What one may say for going to a screen. */
  open: 'open',
  newJobFor: (name: string) => `New job for ${name}`,
  more: (count: number) => `${count} more`,
}
