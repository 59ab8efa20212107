/** Words of drawing on a photo, loaded with its screen. */
export const drawing = {
  title: 'Draw on the photo',
  start: 'Draw on it',
  tool: 'What to draw',
  tools: { arrow: 'Arrow', ring: 'Ring' },
  next: {
    arrow: { first: 'Tap where the arrow starts', second: 'Tap what it points to' },
    ring: { first: 'Tap the middle of the ring', second: 'Tap where its edge goes' },
  },
  keys: 'With a keyboard: the arrow keys move the cross, Enter sets it.',
  field: 'Photo to draw on',
  undo: 'Undo the last',
  save: 'Save as a new photo',
  saveHint: 'The photo itself stays as it is',
  missing: 'Nothing drawn yet',
  saved: 'Photo with the drawing saved on this phone',
  notHere: 'This photo isn’t on this phone yet. It can be drawn on once it is.',
  original: 'Photo without the drawing',
}
