import { counted } from './plural'

/** Words of pictures. */
export const pictures = {
  title: 'Pictures',
  none: 'No picture yet',
  one: 'Picture',
  take: 'Take a picture',
  choose: 'Choose pictures',
  kept: 'Picture saved on this phone',
  keptAll: (count: number) => `${counted(count, 'picture', 'pictures')} saved on this phone`,
  keeping: 'Saving the picture',
  alt: (at: number, count: number) => `Picture ${at} of ${count}`,
  open: (words: string) => `Open: ${words}`,
  caption: 'What it shows',
  captionHint: 'The customer reads this beside the picture',
  save: 'Save words',
  remove: 'Take this picture out',
  removed: 'Picture taken out',
  taken: (when: string) => `Taken ${when}`,
  comes: 'This picture comes with the next signal',
  looking: 'Fetching the picture',
  gone: 'This picture is on the phone that took it',
  unreadable: 'This browser cannot show the picture; it can once the server has made it.',
  /** The upload status of a picture; empty once it is on the server. */
  status: {
    here: 'On this phone only',
    unsaid: 'Waits for this form to be saved',
    sending: (percent: number) => `Being sent, ${percent} %`,
    making: 'Being made',
    makingBecause: (reason: string) => `Being made: ${reason}`,
    elsewhere: 'Still on the phone that took it',
    refused: (reason: string) => `Refused: ${reason}`,
    stuck: (reason: string) => `Not sent: ${reason}`,
  },
  wrong: {
    no_room:
      'This phone is out of room, so the picture was not kept. What you wrote is. Free some room, then take it again.',
    no_picture: 'This is no picture that can be read, or it is damaged. Take it again, or choose another.',
    too_large: 'This picture is larger than 20 MB and this phone cannot make it smaller. Choose another.',
    damaged: 'the copy on this phone is damaged; take the picture again',
    not_saved: 'The picture could not be saved. Try again.',
  },
  toSend: {
    waiting: (count: number) => `${counted(count, 'picture', 'pictures')} waiting to be sent`,
    waitingBoth: (items: number, count: number) =>
      `${counted(items, 'item', 'items')}, ${counted(count, 'picture', 'pictures')} to send`,
    title: 'Pictures to send',
    hint: 'Words go first. Pictures follow by themselves, and go on where the line was cut.',
  },
}
