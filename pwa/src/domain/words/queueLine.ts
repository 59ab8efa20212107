import { counted } from './plural'

/** What became of all that was written here, in one line at the head of a screen. */
export const queueLine = {
  allSent: 'All sent',
  sending: (count: number) => `Sending ${counted(count, 'thing', 'things')}`,
  waiting: (count: number) => `${counted(count, 'thing', 'things')} waiting for signal`,
  attention: (count: number) => `${counted(count, 'thing needs', 'things need')} you`,
  /** What needs a person, short enough to stand beside how much is unsent. */
  short: {
    cannotSave: 'Cannot save',
    lost: (count: number) => `${count} may be lost`,
    attention: (count: number) => `${count} ${count === 1 ? 'needs' : 'need'} you`,
  },
  andUnsent: (words: string, count: number) => `${words} · ${count} unsent`,
  lost: (count: number) => `${counted(count, 'thing', 'things')} may be lost`,
  cannotSave: 'This phone cannot save',
  signInAgain: (count: number) => `Sign in to send ${counted(count, 'thing', 'things')}`,
  pictures: {
    sending: (count: number) => `Sending ${counted(count, 'picture', 'pictures')}`,
    waiting: (count: number) => `${counted(count, 'picture', 'pictures')} waiting for signal`,
    sendingBoth: (things: number, count: number) =>
      `Sending ${counted(things, 'thing', 'things')}, ${counted(count, 'picture', 'pictures')}`,
    waitingBoth: (things: number, count: number) =>
      `${counted(things, 'thing', 'things')}, ${counted(count, 'picture', 'pictures')} to send`,
  },
}
