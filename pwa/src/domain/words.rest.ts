/** Words of the rest of a day planned anew; they come with the screen of a run. */
export const rest = {
  title: 'The rest of the day, planned anew',
  going: 'The rest of the day is being planned anew',
  office: 'It changes other runs too: the office takes it.',
}
