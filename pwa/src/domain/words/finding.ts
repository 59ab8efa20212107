import { named } from '../named.ts'

// Words of what customers complain of and what is found.

export const complaint = {
  title: 'What the customer says',
  words: 'In the customer’s words',
  when: 'When it happens',
  whenHint: 'Cold, hot, under load, always',
  save: 'Save',
  missing: 'Enter what the customer said',
}

export const finding = {
  title: 'Finding',
  editTitle: 'Edit finding',
  words: 'What you found',
  consequence: 'What happens if it isn’t fixed',
  consequenceHint: 'The customer sees this before deciding',
  rank: 'How urgent',
  save: 'Save finding',
  saveHint: 'Then quote it, or keep looking',
  addPart: 'Add a part it needs',
  remove: 'Delete this finding',
  removed: 'Finding deleted',
  missing: 'Enter what you found',
  missingRank: 'Choose how urgent it is',
  safetyCaution:
    'Someone can get hurt by this. Tell the customer now, write down what they say, and don’t let the machine be used until it’s fixed. If they decline the repair, get that in writing.',
}

export const safety = {
  title: 'Before this job can be ready',
  hint: 'Someone can get hurt by this. Repair it and record that it works, or get the customer’s answer on a quote, or record that the customer knows and wants it left.',
  open: /* @__PURE__ */ named({
    undecided: 'No answer from the customer',
    unacknowledged: 'Declined, and not recorded that the customer knows',
    unrepaired: 'Approved, not repaired and tried yet',
    no_bypass: 'Has to be repaired: nothing goes back bypassed or missing',
  }),
  knows: 'The customer knows and wants it left',
  known: 'What the customer was told',
  form: {
    title: 'The customer knows',
    caution:
      'Only after you told the customer what can happen. This note doesn’t repair anything. The machine’s manual and local law still apply.',
    declines: 'Nobody has answered for this yet. Saving records that the customer declined the repair.',
    finding: 'Finding',
    lost: 'What protection is missing',
    lostHint: 'In plain words, as you told the customer',
    who: 'Who you told',
    how: 'How',
    note: 'What they said',
    save: 'Save',
    missingLost: 'Enter what protection is missing',
    missingWho: 'Enter who you told',
    missingHow: 'Choose how you told them',
  },
  hows: /* @__PURE__ */ named({ in_person: 'In person', call: 'On the phone', writing: 'In writing' }),
  told: (who: string, how: string, when: string) => `${who}, ${how.toLowerCase()}, ${when}`,
}

export const ranks = /* @__PURE__ */ named({
  safety: 'Safety',
  needed: 'Needed',
  advised: 'Recommended',
})

export const rankHints = {
  safety: 'Someone can get hurt',
  needed: 'Won’t work, or will get worse',
  advised: 'Worth doing while it is here',
}

export const decisions = /* @__PURE__ */ named({
  open: 'not decided',
  accepted: 'yes',
  declined: 'no',
})
export const stageHints = {
  intake: 'Waiting its turn',
  diagnosis: 'Finding the problem',
  repair: 'Being repaired',
  testing: 'Test run and safety switch check',
  ready: 'Can go back to the customer',
  returned: 'Back with the customer',
  closed: 'Nothing left to do',
  cancelled: 'Won’t be done',
}
