import { counted } from './plural'

/** Words of forms that were begun and not saved. */
export const drafts = {
  title: (count: number) => `${count} unfinished`,
  row: (title: string, when: string) => `${title}, ${when}`,
  older: 'A form of the version before',
  pictures: (count: number) => counted(count, 'picture', 'pictures'),
  discard: 'Discard',
  discarded: 'Discarded',
  signOut: (count: number) =>
    `${counted(count, 'form is', 'forms are')} not finished. What was typed there is removed from this phone.`,
}

/** Words for when the browser has cleared the storage of this phone while something was unsent. */
export const lost = {
  title: 'May be lost',
  hint: (when: string) =>
    `This phone ran out of room and its browser cleared what the app kept here, after ${when}. The server does not have what is listed. Check it, and write it again if it is missing.`,
  asking: (when: string) =>
    `This phone ran out of room and its browser cleared what the app kept here, after ${when}. Nobody can say yet whether this was sent: the server is asked with the next signal.`,
  picture: 'Picture',
  checked: 'I checked these',
}
