/** Words of the first set-up of a shop. */
export const setUp = {
  title: 'Set up your shop',
  lead: (done: number, all: number) =>
    `${done} of ${all} done. Skip anything: it stays under More. You can take in jobs right away.`,
  left: (count: number) => `${count} left`,
  skip: 'Skip for now',
  done: 'Done',
  skipped: 'Skipped',
  first:
    'Your first quote asks once for whatever of labor rates, markup, tax and terms nobody has looked at.',
  steps: {
    address: { title: 'Name and address', hint: 'On quotes and messages' },
    labor_rates: { title: 'Labor rates', hint: 'What an hour costs' },
    tax_profiles: { title: 'Tax', hint: 'Rates and what they are on, with an example bill' },
    terms: { title: 'Terms and deposit', hint: 'An example to check with an adviser' },
    part_bands: { title: 'Markup on parts', hint: 'What is added to the cost of a part' },
    yard: { title: 'Yard and its position', hint: 'Needed to plan runs' },
    people: { title: 'People', hint: 'Who else works in the shop' },
    customers: { title: 'Bring in your address book', hint: 'From a file, tried before it is saved' },
    install: { title: 'Put it on this phone', hint: 'So that it opens without signal' },
  },
}
