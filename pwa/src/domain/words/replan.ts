/** Words of the rest of a day planned again; they come with the screen of a run. */
export const rest = {
  title: 'The rest of the day, re-planned',
  going: 'Re-planning the rest of the day',
  office: 'It changes other runs too, so the office has to accept it.',
}
