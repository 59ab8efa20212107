import { named } from '../named.ts'

// Words of safety items: devices that protect people and do not work, are bypassed or missing.

export const safetyItems = {
  title: 'Safety device',
  add: 'Safety device',
  count: (open: number, all: number) =>
    !all ? '' : open === all ? `${open} open` : `${open} of ${all} open`,
  editTitle: 'Edit safety device',
  device: 'Which one',
  choose: 'Choose',
  other: 'Another one',
  otherDevice: 'What it is called',
  condition: 'What is wrong with it',
  lost: 'What protection is missing',
  lostHint: 'In plain words, as the customer is told',
  more: 'More',
  moreNames: 'What was done for now',
  interim: 'What was done for now',
  interimHint: 'Tag on the machine, blades removed, key kept here',
  tag: 'Photo of the tag or the device',
  save: 'Save',
  saved: 'Saved. The job can’t be ready until it’s repaired, or the customer knows and wants it left.',
  missingDevice: 'Choose the device, or enter what it is called',
  missingCondition: 'Choose what is wrong with it',
  missingLost: 'Enter what protection is missing',
  remove: 'Delete this entry',
  removed: 'Entry deleted',
  edit: 'Edit',
  interimNow: 'For now',
  found: 'Found',
  foundBy: (who: string, when: string) => [who, when].filter(Boolean).join(', '),
  state: 'State',
  repaired: 'Repaired',
  left: 'Left: the customer knows and wants that',
  open: 'Not repaired',
  caution:
    'Someone can get hurt by this. Don’t let the machine be used. Follow the manufacturer’s manual; local law may say more.',
  noBypass:
    'This shop hands nothing back with a bypassed or missing safety device. Only the repair lets the job be ready.',
  finding: 'Its finding',
  repair: {
    action: 'Repaired and tried',
    title: 'Repaired and tried',
    caution:
      'Try it by the manufacturer’s manual. Nobody near blades, chute or belts while the machine runs.',
    tries: 'How many times tried',
    fewer: 'One fewer',
    more: 'One more',
    seen: 'What you saw',
    seenHint: 'Engine stops each time the seat is left',
    save: 'It works',
    saved: 'Recorded as repaired',
    undone: 'Recorded by mistake',
    missingTries: 'Enter how many times, 1 to 1000',
    missingSeen: 'Enter what you saw',
  },
  reopen: {
    action: 'Found not working again',
    title: 'Not working again',
    save: 'It doesn’t work',
    saved: 'Recorded as not working',
  },
  trials: 'Tried',
  trial: (works: boolean, tries: number | null) =>
    [works ? 'Works' : 'Doesn’t work', tries && `tried ${tries}×`].filter(Boolean).join(', '),
  search: {
    action: 'Record a search for the part',
    title: 'Search for the part',
    heading: 'Searches for the part',
    where: 'Where you asked',
    whereHint: 'Dealer, parts house, manufacturer',
    answer: 'What they said',
    answerHint: 'No longer made; no substitute',
    save: 'Save',
    missingWhere: 'Enter where you asked',
    missingAnswer: 'Enter what they said',
  },
}

export const noBypassSetting = {
  label: 'Bypassed or missing safety devices',
  off: 'May go back when the customer knows and wants that',
  on: 'Never go back: only the repair lets a job be ready',
}

export const conditions = /* @__PURE__ */ named({
  not_working: 'Not working',
  bypassed: 'Bypassed',
  missing: 'Missing',
})

/** The devices to choose from, and what is lost without each; common practice, no source. */
export const devices: Readonly<Record<string, { name: string; lost: string }>> = {
  seat_switch: {
    name: 'Seat switch',
    lost: 'The engine or the blades keep running when the operator leaves the seat.',
  },
  brake_switch: {
    name: 'Brake or clutch pedal switch',
    lost: 'The engine can start while the machine is free to roll.',
  },
  blade_switch: {
    name: 'Blade switch',
    lost: 'The engine can start with the blades engaged.',
  },
  reverse_switch: {
    name: 'Reverse switch',
    lost: 'The blades keep turning while the machine backs up, over whoever is behind it.',
  },
  stop_switch: { name: 'Stop or key switch', lost: 'The engine may keep running when it is switched off.' },
  hold_to_run_handle: {
    name: 'Hold-to-run handle',
    lost: 'The blade keeps turning when the handle is let go.',
  },
  blade_brake: { name: 'Blade brake', lost: 'The blade keeps turning after it is switched off.' },
  parking_brake: { name: 'Parking brake', lost: 'The machine can roll away when it is parked.' },
  guards_and_chute: {
    name: 'Guards and chute',
    lost: 'Guards keep hands and feet away from moving parts, the chute turns thrown stones down. That protection is gone.',
  },
  roll_bar_and_belt: {
    name: 'Roll bar and seat belt',
    lost: 'Nothing keeps the operator from being crushed if the machine tips over.',
  },
}
