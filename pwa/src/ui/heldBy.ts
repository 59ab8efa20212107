import { signal } from '@preact/signals'
import { readStored, writeStored } from '../store/browser/safeStorage'

const STORAGE_KEY = 'drawbar.handed'

/** What the customer is shown: a quote to decide on, or a stop at which a machine changes hands. */
export interface CustomerModeSubject {
  kind: 'quote' | 'stop'
  id: string
}

/**
 * Set while the phone is in the customer's hands: nothing but this quote or stop is shown, whatever the address says,
 * also after a reload. Null while a member holds the phone.
 */
export const customerMode = signal<CustomerModeSubject | null>(parseStored(readStored(STORAGE_KEY)))

/** Reads "stop:<id>"; text without a colon is the id of a quote, as earlier builds stored it. */
function parseStored(text: string | null): CustomerModeSubject | null {
  if (text === null) return null
  return text.startsWith('stop:') ? { kind: 'stop', id: text.slice(5) } : { kind: 'quote', id: text }
}

/** Stores and sets who holds the phone. */
export function setCustomerMode(subject: CustomerModeSubject | null): void {
  const stored = subject?.kind === 'stop' ? `stop:${subject.id}` : subject?.id
  writeStored(STORAGE_KEY, stored ?? null)
  customerMode.value = subject
}
