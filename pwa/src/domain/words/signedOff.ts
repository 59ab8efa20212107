import { counted } from './plural'

/** Words of a phone that was signed off and still holds something; they come with its screen. */
export const signedOff = {
  title: 'Signed off',
  lead: 'The owner of the shop signed this phone off, or your membership has ended.',
  waiting: (count: number) =>
    `${counted(count, 'entry', 'entries')} not sent yet. With a signal the owner gets ${count === 1 ? 'it' : 'them'}, then this phone forgets the shop.`,
  refused: 'The shop takes no more from this phone. Copy out what was not sent and give it to the owner.',
  pictures: (count: number) =>
    `${counted(count, 'picture', 'pictures')} not sent. Pictures cannot be sent from this phone any more: save them and give them to the owner.`,
  save: 'Save the pictures',
  erase: 'Erase the pictures',
  tryNow: 'Send now',
  copy: 'Copy out',
  copied: 'Copied',
  done: 'Forgetting the shop …',
}
