import { named } from '../named.ts'
import { counted } from './plural'

/** Words of check lists and of the checks of a job. */
export const checkLists = {
  title: 'Check lists',
  hint: 'What you look at, by type of machine and job',
}

export const results = /* @__PURE__ */ named({
  fine: 'Fine',
  worn: 'Worn',
  bad: 'Bad',
  not_looked: 'Not looked at',
})

export const checkState = (done: number, all: number, bad: number) =>
  done === 0 ? '' : [`${done} of ${all}`, bad > 0 && `${bad} bad`].filter(Boolean).join(', ')

/** How many items of a job were looked at, and how many are bad. */
export const stateOfChecks = (checks: readonly { result: string }[]) => {
  const bad = checks.filter(({ result }) => result === 'bad').length
  return [checks.length > 0 && `${checks.length} done`, bad > 0 && `${bad} bad`].filter(Boolean).join(', ')
}

export const checks = {
  title: 'Checks',
  position: (at: number, all: number) => `${at} of ${all}`,
  critical: 'Someone can get hurt if this is bad',
  words: 'What you see',
  done: 'All looked at',
  doneSum: (bad: number, worn: number) => `${bad} bad, ${worn} worn`,
  back: 'Back to the bench',
  items: 'Items',
  others: 'Other lists',
  editList: 'Edit this list',
  makeFinding: 'Make it a finding',
  madeFinding: 'Finding added',
  showFinding: 'View the finding',
  note: 'Note or photo',
  noLists: 'No check lists yet',
  noListsHint: 'Start from an example and make it yours, or write your own.',
  noItems: 'This list has no items yet',
}

export const check = {
  result: 'Result',
  words: 'What you see',
  save: 'Save check',
}

export const checkListForm = {
  title: 'Check list',
  newTitle: 'New check list',
  add: 'New check list',
  example: 'Start from an example',
  exampleOf: (name: string, count: number) => `${name}, ${counted(count, 'item', 'items')}`,
  name: 'Name',
  kind: 'Type of machine',
  kindHint: 'Mower, chipper; leave blank for all',
  purpose: 'For',
  purposeHint: 'Check-in, yearly service',
  items: 'Items',
  item: (at: number) => `Item ${at}`,
  critical: 'Can hurt someone',
  up: 'Up',
  upItem: (at: number) => `Move item ${at} up`,
  remove: 'Remove',
  removeItem: (at: number) => `Remove item ${at}`,
  addItem: 'Add an item',
  save: 'Save list',
  delete: 'Delete this list',
  deleted: 'Check list deleted',
  missingName: 'Enter a name',
  missingItem: 'Enter what to look at, or remove the item',
  missingItems: 'Add at least one item',
  count: (count: number) => counted(count, 'item', 'items'),
}
