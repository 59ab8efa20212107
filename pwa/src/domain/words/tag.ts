/** Words of a machine's tag, scanned or typed. */
export const tag = {
  title: 'Machine tag',
  label: 'What the tag says',
  hint: 'Type it as printed',
  scan: 'Scan it',
  scanning: 'Point the camera at the tag',
  stop: 'Stop scanning',
  noCamera: 'Can’t use the camera. Allow it in the browser’s settings, or type the tag.',
  noReader: 'This phone can’t scan codes. Type what’s printed on the tag.',
  open: 'Open the machine',
  none: (tag: string) =>
    `No machine on this phone has the tag “${tag}”. Check the letters, or try again with signal.`,
  empty: 'Type what the tag says',
}
