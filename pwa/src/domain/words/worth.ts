/** Words of the comparison of a quote with what the machine is worth: figures alone, no advice. */
export const worth = {
  title: 'Worth repairing?',
  hint: 'The quote beside what the machine is worth. Figures only.',
  value: 'What the customer says it’s worth',
  replacement: 'Price of a replacement',
  wrongMoney: 'Enter an amount',
  quote: 'This quote',
  ofValue: 'Quote as part of its worth',
  ofReplacement: 'Quote as part of a replacement',
  ratio: (percent: string, quote: string, of: string) => `${percent} (${quote} of ${of})`,
  known: 'What is known of it',
  year: 'Year',
  hours: 'Hours',
  hoursOn: (hours: string, day: string) => `${hours} h on ${day}`,
  before: 'Approved on it before',
  noTotal: 'This quote has no total yet',
}
