/** Words of the rest of a day planned again; they come with the screen of a run. */
export const rest = {
  title: 'The rest of the day, planned again',
  going: 'The rest of the day is being planned again',
  office: 'It changes other runs too: the office takes it.',
}
