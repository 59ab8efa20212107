import { counted } from './plural'

// Words of finding and taking in: customers, their places, meters and new jobs.

export const find = {
  title: 'Find',
  label: 'Name, phone, serial or job number',
  hint: 'Searches this phone. Works without signal.',
  jobs: 'Jobs',
  customers: 'Customers',
  machines: 'Machines',
  none: (query: string) => `Nothing found for “${query}”`,
  noneHint: 'Try fewer letters or another word.',
  found: (count: number) => counted(count, 'result', 'results'),
  openJobs: 'Open jobs',
}

export const customer = {
  title: 'Customer',
  edit: 'Edit',
  call: (phone: string) => `Call ${phone}`,
  write: (email: string) => `Write to ${email}`,
  machines: 'Machines',
  noMachines: 'No machines yet',
  addMachine: 'Add a machine',
  sites: 'Places',
  noSites: 'No places yet',
  addSite: 'Add a place',
  jobs: 'Jobs',
  noJobs: 'No jobs yet',
  notes: 'Notes',
  exempt: 'Tax exempt',
  newJob: 'New job',
  newJobFor: (name: string) => `For ${name}`,
  archived: 'Archived',
  fields: {
    name: 'Billing name',
    person: 'Contact person',
    phone: 'Phone',
    email: 'Email',
    address: 'Address',
    notes: 'Notes',
    exempt: 'Tax',
    exemptNo: 'Pays tax',
    exemptYes: 'Tax exempt',
    exemptReason: 'Reason for exemption',
  },
  editTitle: 'Edit customer',
  save: 'Save customer',
}

export const site = {
  title: 'New place',
  editTitle: 'Edit place',
  fields: {
    label: 'Name',
    labelHint: 'Home, the cabin, the north field. Blank: the address is shown',
    address: 'Address',
    access: 'Access notes',
    accessHint: 'Gate, slope, dog, key',
  },
  save: 'Save place',
  missing: 'Enter an address, a position or a name',
  remove: 'Archive this place',
  removed: 'Place archived',
}

export const meter = {
  title: 'Enter hours',
  hours: 'Hours on the meter',
  replaced: 'Meter',
  same: 'Same meter',
  fresh: 'Meter replaced',
  save: 'Save hours',
  last: (hours: string, date: string) => `Last time: ${hours} h on ${date}`,
}

export const newJob = {
  title: 'New job',
  customer: 'Customer',
  customerField: 'Customer’s name or phone',
  customerHint: 'Matches show up as you type.',
  name: 'Customer’s name',
  phone: 'Phone',
  known: 'Known customers',
  other: 'Someone else',
  machine: 'Machine',
  otherMachine: 'Another machine',
  wrong: 'What’s wrong',
  words: 'In the customer’s words',
  when: 'When it happens',
  whenHint: 'Cold, hot, under load, always',
  promised: 'Promised for',
  more: 'More machine details',
  orNew: 'Or add a new one:',
  machines: (count: number) => counted(count, 'machine', 'machines'),
  where: {
    open: 'Where the machine is',
    hint: 'For pickup or a site visit. You can add it later',
    known: (labels: string) => `On file: ${labels}. Tap to use another place`,
    title: 'Where the machine is',
    which: 'Place',
    another: 'Another place',
    onFile: 'The customer’s address',
    label: 'Where the machine is',
  },
  save: 'Open the job',
  saveHint: 'Saves on this phone right away',
  missing: {
    customer: 'Enter the customer’s name, or pick one',
    machine: 'Pick the machine, or enter what it is',
    words: 'Enter what’s wrong, in the customer’s words',
  },
}
