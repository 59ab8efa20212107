/** Words of a machine's tag, scanned or typed. */
export const tag = {
  title: 'Machine tag',
  label: 'What the tag says',
  hint: 'Type it as it is printed',
  scan: 'Scan it',
  scanning: 'Hold the tag before the camera',
  stop: 'Stop looking',
  noCamera: 'The camera cannot be used. Allow it in the browser’s settings, or type the tag.',
  noReader: 'No code can be read on this phone. Type what is printed under it.',
  open: 'Open the machine',
  none: (tag: string) =>
    `No machine on this phone has the tag “${tag}”. Check the letters, or wait for a signal.`,
  empty: 'Type what the tag says',
}
