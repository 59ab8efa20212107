import { counted } from './plural'

/** What became of all that was entered here, in two or three words at the head of a screen. */
export const queueLine = {
  sent: 'Sent',
  noSignal: 'No signal',
  toSend: (count: number) => `${count} to send`,
  needYou: (count: number) => `${count} ${count === 1 ? 'needs' : 'need'} you`,
  lost: (count: number) => `${counted(count, 'item', 'items')} may be lost`,
  cannotSave: 'Can’t save',
  signIn: 'Sign in to send',
}
