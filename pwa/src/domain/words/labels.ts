/** Words of labels, loaded with their screen. */
export const labels = {
  title: 'Labels',
  kind: 'What to print',
  kinds: { bags: 'Bags', safety: 'Safety tags' },
  hints: {
    bags: 'Number, job, machine, what is in it, and a code that opens the job',
    safety: 'A warning to hang on the machine for each safety device that doesn’t work',
  },
  first: 'First bag',
  count: 'How many bags',
  more: (what: string) => `${what}: one more`,
  fewer: (what: string) => `${what}: one less`,
  signal: 'The server makes the PDF, so this needs signal. Print it at its own size.',
  range: (first: number, last: number) => (last > first ? `bags ${first} to ${last}` : `bag ${first}`),
  printBags: (range: string) => `Make labels for ${range}`,
  openBags: (range: string) => `Open labels of ${range}`,
  printTags: 'Make safety tags',
  openTags: 'Open safety tags',
}
