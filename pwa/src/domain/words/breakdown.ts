/** Words of what goes otherwise on the road; they come with the screens of a run. */
export const trouble = {
  title: 'Broken down',
  hint: 'The run ended here. Machines on the deck need picking up; other stops go back to waiting.',
  note: 'What happened',
  add: 'Save what happened',
  saved: 'The run has ended; the day is re-planned',
  place: 'Where it is',
  placeHint: 'Road and a landmark',
  position: 'Its position',
  caution:
    'Get off the road first. Hazards on, triangles out, people behind the guardrail. Leave the load tied down.',
  call: 'Call the shop',
  runsAgain: 'Back in service',
  backOnRoad: 'Rig back in service',
  since: (when: string) => `Broken down since ${when}`,
  key: 'Broken down',
  keyHint: 'Ends the run here; the load will need picking up',
  more: 'What happened, and where it is',
}

export const urgent = {
  title: 'Urgent call',
  hint: 'Tap to put it first today. The rest of the day is re-planned around promised times.',
  whose: 'Whose machine',
  none: 'No job by that name. Open one first.',
  fetch: 'Pick it up today',
  visit: 'Visit on site today',
  newJob: 'Open a new job',
  saved: 'First today; the day is re-planned',
}
