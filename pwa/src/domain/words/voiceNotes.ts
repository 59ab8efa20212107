/** Words of voice notes, loaded with pictures. */
export const voiceNotes = {
  name: 'Voice note',
  record: 'Record a voice note',
  asking: 'Waiting for the microphone',
  recording: 'Recording',
  of: (now: string, most: string) => `${now} of ${most}`,
  stop: 'Stop and save',
  stopHint: 'A call or a locked screen stops it too; what was recorded is saved',
  kept: (length: string) => `Voice note saved on this phone, ${length}`,
  play: (length: string) => `Play ${length}`,
  stopPlaying: 'Stop playing',
  open: 'Open',
  openNote: (name: string) => `Open ${name}`,
  alt: (at: number, count: number) => `Voice note ${at} of ${count}`,
  recorded: (when: string) => `Recorded ${when}`,
  caption: 'What it’s about',
  captionHint: 'Only the shop sees and hears voice notes',
  save: 'Save',
  download: 'Download',
  remove: 'Delete voice note',
  removed: 'Voice note deleted',
  comes: 'Downloads when you have signal',
  looking: 'Loading the voice note',
  gone: 'This voice note is on the phone that recorded it',
  wrong: {
    missing:
      'This browser can’t record sound here: it needs a newer browser, and an address that begins with https. Type it instead.',
    blocked:
      'The microphone is blocked. Allow it for this site in the browser’s settings (the sign beside the address), then press again. Or type it instead.',
    no_microphone: 'No microphone found. Plug one in and press again, or type it instead.',
    busy: 'The microphone is in use, such as by a call. End that and press again, or type it instead.',
    empty: 'Nothing was recorded. Press again.',
    no_room:
      'This phone is out of storage, so the voice note wasn’t saved. Free some space, then record it again.',
    not_saved: 'Couldn’t save the voice note. Try again.',
    unplayable: 'This phone can’t play this voice note. Open it and download it to play it elsewhere.',
  },
}
