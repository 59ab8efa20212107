import { counted } from './plural'

/** Words of pictures. */
export const pictures = {
  title: 'Photos',
  one: 'Photo',
  take: 'Take a photo',
  choose: 'Choose photos',
  kept: 'Photo saved on this phone',
  keptAll: (count: number) => `${counted(count, 'photo', 'photos')} saved on this phone`,
  keeping: 'Saving the photo',
  none: 'No photos yet',
  alt: (at: number, count: number) => `Photo ${at} of ${count}`,
  open: (words: string) => `Open: ${words}`,
  caption: 'What it shows',
  captionHint: 'The customer sees this with the photo',
  save: 'Save',
  remove: 'Delete photo',
  removed: 'Photo deleted',
  taken: (when: string) => `Taken ${when}`,
  comes: 'Downloads when you have signal',
  looking: 'Downloading the photo',
  gone: 'This photo is on the phone that took it',
  unreadable: 'This browser can’t show it until the server has processed it.',
  /** The upload status of a picture; empty once it is on the server. */
  status: {
    here: 'On this phone only',
    unsaid: 'Waiting for you to save',
    sending: (percent: number) => `Sending, ${percent}%`,
    making: 'Processing',
    makingBecause: (reason: string) => `Processing: ${reason}`,
    elsewhere: 'Still on the phone that took it',
    refused: (reason: string) => `Refused: ${reason}`,
    stuck: (reason: string) => `Not sent: ${reason}`,
  },
  wrong: {
    no_room:
      'This phone is out of storage, so the photo wasn’t saved. What you typed is. Free some space, then retake it.',
    no_picture: 'Can’t read this photo. Retake it or choose another.',
    too_large: 'This photo is larger than 20 MB and this phone can’t make it smaller. Choose another.',
    damaged: 'the copy on this phone is damaged; retake the photo',
    not_saved: 'Couldn’t save the photo. Try again.',
  },
  /** What another app shared to this one. */
  share: {
    title: 'Put it where?',
    hint: (count: number, text: boolean) =>
      `${[count && counted(count, 'photo', 'photos'), text && 'a text'].filter(Boolean).join(' and ')} shared from another app. It stays on this phone until you pick a job.`,
    jobs: 'Open jobs, last used first',
    noJobs: 'No open jobs. Add the job first; what you shared stays here.',
    newJob: 'New job',
    nothing: 'Nothing shared is waiting',
    discard: 'Don’t keep it',
    discarded: 'Deleted here; it is still in the app you shared it from',
    no_picture: 'Only photos and text can be shared to a job. The rest was left out.',
    too_large: 'A photo over 20 MB was left out. Share a smaller one.',
    too_many:
      'At most 20 photos and texts wait here. The last ones weren’t kept: put these into a job, then share the rest again.',
    website: 'A website sent something here. It wasn’t kept.',
    not_saved: 'This phone couldn’t keep what you shared. Share it again.',
    no_room:
      'This phone is out of storage, so what you shared wasn’t kept. Free some space, then share it again.',
  },
  toSend: {
    waiting: (count: number) => `${counted(count, 'photo', 'photos')} waiting to be sent`,
    waitingBoth: (items: number, count: number) =>
      `${counted(items, 'item', 'items')}, ${counted(count, 'photo', 'photos')} to send`,
    title: 'Photos to send',
    hint: 'Text goes first. Photos follow and resume if signal drops.',
  },
}
