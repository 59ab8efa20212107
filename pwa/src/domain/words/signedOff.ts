import { counted } from './plural'

/** Words of a phone that was signed off and still holds something; they come with its screen. */
export const signedOff = {
  title: 'Phone removed',
  lead: 'The shop owner removed this phone, or your access has ended.',
  waiting: (count: number) =>
    `${counted(count, 'entry', 'entries')} not sent yet. With signal the shop owner gets ${count === 1 ? 'it' : 'them'}, then shop data is removed from this phone.`,
  refused: 'The shop takes no more from this phone. Copy what was not sent and give it to the shop owner.',
  pictures: (count: number) =>
    `${counted(count, 'photo', 'photos')} not sent. Photos can’t be sent from this phone anymore: save them and give them to the shop owner.`,
  save: 'Save the photos',
  erase: 'Erase the photos',
  tryNow: 'Send now',
  copy: 'Copy text',
  copied: 'Copied',
  done: 'Removing shop data …',
}
