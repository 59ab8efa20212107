import { named } from '../named'
import { counted } from './plural'

// Words of intake: how the machine comes, how the customer is reached, terms, and the ticket.

export const arrivals = /* @__PURE__ */ named({
  drop_off: 'Customer brings it',
  pickup: 'We pick it up',
  visit: 'We go there',
})

export const contactWishes = /* @__PURE__ */ named({ call: 'Call', text: 'Text', email: 'Email' })

export const intake = {
  arrival: 'How does it get here?',
  more: 'More',
  moreNames: 'Hours, serial, plate photo, urgency, email, second phone, language, terms',
  when: 'When it happens',
  urgency: 'How urgent is it?',
  needed: 'Needed by',
  missingDate: 'Enter the date it’s needed by',
  customer: 'Reaching the customer',
  wish: 'Prefers',
  noWish: 'Not said',
  machine: 'The machine',
  hours: 'Hour meter now',
  plate: 'Photo of the plate',
  plateCaption: 'Plate',
  prefers: (how: string) => `Prefers: ${how.toLowerCase()}`,
}

export const terms = {
  title: 'Terms',
  told: 'Told to the customer and accepted',
  diagnosis: (fee: string) => `Diagnosis fee ${fee}`,
  credited: 'Credited against the repair',
  storage: (amount: string) => `Storage ${amount} a day`,
  most: (amount: string) => `${amount} at most`,
  free: (days: number) =>
    days
      ? `After ${counted(days, 'day', 'days')} free, from our call that it’s ready`
      : 'From our call that it’s ready',
  none: 'Your prices have no diagnosis fee and no storage charge to tell the customer about.',
  who: 'Accepted by',
  missingWho: 'Enter who accepted the terms',
  missing: 'Tick what the customer accepted',
  accepted: (name: string, when: string) => `Accepted by ${name}, ${when}`,
  record: 'Record accepted terms',
  save: 'Save terms',
}

export const ticket = {
  title: 'Ticket',
  make: 'Make the PDF',
  again: 'Make the PDF again',
  open: 'Open the ticket',
  text: 'Text the ticket',
  mail: 'Email the ticket',
  queued: 'Ticket goes out when you have signal',
  notYet: 'The message says you have the machine. Send it after the pickup.',
  noAddress: 'No phone or email on file to send it to.',
}
