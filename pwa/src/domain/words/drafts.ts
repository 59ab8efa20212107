import { counted } from './plural'

/** Words of forms that were begun and not saved. */
export const drafts = {
  title: (count: number) => `${count} unfinished`,
  row: (title: string, when: string) => `${title}, ${when}`,
  older: 'A form from the previous version',
  pictures: (count: number) => counted(count, 'photo', 'photos'),
  discard: 'Discard',
  discarded: 'Discarded',
  signOut: (count: number) =>
    `${counted(count, 'form is', 'forms are')} not finished. What was typed there is removed from this phone.`,
}

/** Words for when the browser has cleared the storage of this phone while something was unsent. */
export const lost = {
  title: 'May be lost',
  hint: (when: string) =>
    `This phone ran out of storage and its browser cleared the app’s data, after ${when}. The server does not have what is listed. Check it, and enter it again if it is missing.`,
  asking: (when: string) =>
    `This phone ran out of storage and its browser cleared the app’s data, after ${when}. We’ll know whether this was sent once you have signal.`,
  picture: 'Photo',
  checked: 'I checked these',
}
