/** Words of the menu for the list of gauges, which are there from the start. */
export const gaugeList = {
  title: 'Gauges',
  hint: 'What you measure with, and how sure each is',
}
