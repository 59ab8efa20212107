import { counted } from './plural'

// Words of finding and taking in: customers, their places, meters and new jobs.

export const find = {
  title: 'Find',
  label: 'Name, phone, serial or job number',
  hint: 'Looks in what this phone holds, with or without a signal.',
  jobs: 'Jobs',
  customers: 'Customers',
  machines: 'Machines',
  none: (query: string) => `Nothing found for “${query}”`,
  noneHint: 'Try fewer letters, or another word you know of it.',
  found: (count: number) => counted(count, 'thing found', 'things found'),
  openJobs: 'Open jobs',
}

export const customer = {
  title: 'Customer',
  edit: 'Change',
  call: (phone: string) => `Call ${phone}`,
  write: (email: string) => `Write to ${email}`,
  machines: 'Machines',
  noMachines: 'No machine written down yet',
  addMachine: 'Add a machine',
  sites: 'Places',
  noSites: 'No place written down yet',
  addSite: 'Add a place',
  jobs: 'Jobs',
  noJobs: 'No job yet',
  notes: 'Notes',
  exempt: 'Pays no tax',
  newJob: 'New job',
  newJobFor: (name: string) => `For ${name}`,
  archived: 'Put away',
  fields: {
    name: 'Name on the bill',
    person: 'Who to ask for',
    phone: 'Phone',
    email: 'Email',
    address: 'Address',
    notes: 'Notes',
    exempt: 'Tax',
    exemptNo: 'Pays tax',
    exemptYes: 'Pays no tax',
    exemptReason: 'Why no tax is charged',
  },
  editTitle: 'Change customer',
  save: 'Save customer',
}

export const site = {
  title: 'New place',
  editTitle: 'Change place',
  fields: {
    label: 'What you call it',
    labelHint: 'Home, the cabin, the north field. Empty: the address says it',
    address: 'Address',
    access: 'Getting in',
    accessHint: 'Gate, slope, dog, key',
  },
  save: 'Save place',
  missing: 'Give the address, the position or a name',
  remove: 'Put this place away',
  removed: 'Place put away',
}

export const meter = {
  title: 'Note the hours',
  hours: 'Hours on the meter',
  replaced: 'The meter',
  same: 'Same meter as before',
  fresh: 'Meter was replaced',
  save: 'Save hours',
  last: (hours: string, date: string) => `Last time: ${hours} h on ${date}`,
}

export const newJob = {
  title: 'New job',
  customer: 'Customer',
  customerField: 'Customer’s name or phone',
  customerHint: 'Known customers show up as you type.',
  name: 'Customer’s name',
  phone: 'Phone',
  known: 'Known customers',
  other: 'Somebody else',
  machine: 'Machine',
  otherMachine: 'Another machine',
  wrong: 'What is wrong',
  words: 'In the customer’s words',
  when: 'When it happens',
  whenHint: 'Cold, hot, under load, always',
  promised: 'Promised for',
  more: 'More about the machine',
  orNew: 'Or write down another one:',
  machines: (count: number) => counted(count, 'machine', 'machines'),
  where: {
    open: 'Where it is',
    hint: 'For fetching it or going there; can be said later',
    known: (labels: string) => `Known: ${labels}. Press for another place`,
    title: 'Where it is',
    which: 'Place',
    another: 'Another place',
    onFile: 'The customer’s address',
    label: 'Where it is',
  },
  save: 'Open the job',
  saveHint: 'Saved on this phone at once',
  missing: {
    customer: 'Write the customer’s name, or pick one',
    machine: 'Pick the machine, or write what it is',
    words: 'Write what is wrong, in the customer’s words',
  },
}
