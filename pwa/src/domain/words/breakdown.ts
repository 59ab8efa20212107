/** Words of what goes otherwise on the road; they come with the screens of a run. */
export const trouble = {
  title: 'Broken down',
  hint: 'The run has ended here. Machines on the deck are to be fetched from this place, the other stops wait to be planned.',
  note: 'What happened',
  add: 'Save what happened',
  saved: 'The run has ended; the day is planned again',
  place: 'Where it is',
  placeHint: 'A road and a mark that others find',
  position: 'Its position',
  caution:
    'Off the road first: hazard lights, triangles, people behind the barrier. Leave what is tied down tied down.',
  call: 'Call the shop',
  runsAgain: 'It runs again',
  backOnRoad: 'On the road again',
  since: (when: string) => `Broken down since ${when}`,
  key: 'Broken down',
  keyHint: 'Ends the run here; what is aboard is to be fetched',
  more: 'What happened, and where it is',
}

export const urgent = {
  title: 'It cannot wait',
  hint: 'One press puts it first in line today, and the rest of the day is planned again around what was promised.',
  whose: 'Whose machine',
  none: 'No job by that name. Open one first.',
  fetch: 'Fetch it today',
  visit: 'Go there today',
  newJob: 'Open a new job',
  saved: 'First in line today; the day is planned again',
}
