/** The place of sheets under More, and on the pages of a machine and a job. */
export const sheetsMenu = {
  title: 'What we know',
  hint: 'Limits, fasteners, hours and lessons by kind of machine',
}
