import { named } from '../named.ts'

// Words of what customers complain of and what is found.

export const complaint = {
  title: 'What the customer says',
  words: 'In the customer’s words',
  when: 'When it happens',
  whenHint: 'Cold, hot, under load, always',
  save: 'Save',
  missing: 'Write at least a word of what the customer said',
}

export const finding = {
  title: 'Finding',
  editTitle: 'Change finding',
  words: 'What you found',
  consequence: 'What happens if it stays',
  consequenceHint: 'The customer reads this before deciding',
  rank: 'How much it matters',
  save: 'Save finding',
  saveHint: 'Then quote it, or look on',
  remove: 'Take this finding out',
  removed: 'Finding taken out',
  missing: 'Write what you found',
  missingRank: 'Say how much it matters',
  safetyCaution:
    'Someone can get hurt by this. Tell the customer now, note their answer, and keep the machine from being used until it is repaired or the customer has answered in writing.',
}

export const safety = {
  title: 'Before this job can be ready',
  hint: 'Someone can get hurt by this. Get the customer’s answer on a quote that repairs it, or record that the customer knows and wants it left.',
  open: /* @__PURE__ */ named({
    undecided: 'The customer has not decided',
    unacknowledged: 'Declined, and not recorded that the customer knows',
  }),
  knows: 'The customer knows and wants it left',
  known: 'What the customer was told',
  form: {
    title: 'The customer knows',
    caution:
      'Only after you told the customer what can happen. This note does not repair anything: the machine’s manual and local law still hold.',
    finding: 'What was found',
    lost: 'What no longer protects anybody',
    lostHint: 'In plain words, as you told the customer',
    who: 'Who you told',
    how: 'How',
    note: 'What they said',
    save: 'Record it',
    missingLost: 'Write what no longer protects anybody',
    missingWho: 'Write who you told',
    missingHow: 'Choose how you told them',
  },
  hows: /* @__PURE__ */ named({ in_person: 'In person', call: 'On the phone', writing: 'In writing' }),
  told: (who: string, how: string, when: string) => `${who}, ${how.toLowerCase()}, ${when}`,
}

export const ranks = /* @__PURE__ */ named({
  safety: 'Safety',
  needed: 'Needed',
  advised: 'Advised',
})

export const rankHints = {
  safety: 'Someone can get hurt',
  needed: 'It will not work, or will break more',
  advised: 'Worth doing while it is here',
}

export const decisions = /* @__PURE__ */ named({
  open: 'not decided',
  accepted: 'yes',
  declined: 'no',
})
export const stageHints = {
  intake: 'Waits its turn',
  diagnosis: 'Looking for the fault',
  repair: 'Being repaired',
  testing: 'Running it and checking its safety devices',
  ready: 'Can go back to the customer',
  returned: 'Back with the customer',
  closed: 'Nothing left to do',
  cancelled: 'Will not be done',
}
