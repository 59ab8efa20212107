import { expect, test } from 'vitest'
import { currentCommand } from './formerCommands'

const template = {
  id: 't',
  key: 'owner_asked',
  channel: 'push',
  subject: '{owner}',
  body: '{owner}: {question}',
}

test.each([
  ['mend_rig', { id: 'rig' }, 'repair_rig', { id: 'rig' }],
  ['answer_owner_question', { id: 'q' }, 'answer_customer_question', { id: 'q' }],
  ['move_job', { id: 'job', stage: 'proving' }, 'move_job', { id: 'job', stage: 'testing' }],
  [
    'edit_shop',
    { id: 's', base: { follow_ups: { ask_owner: false } }, set: { follow_ups: { ask_owner: true } } },
    'edit_shop',
    { id: 's', base: { follow_ups: { ask_customer: false } }, set: { follow_ups: { ask_customer: true } } },
  ],
  [
    'put_notice_template',
    template,
    'put_notice_template',
    { ...template, key: 'customer_asked', subject: '{customer}', body: '{customer}: {question}' },
  ],
])('%s of an earlier build is known by its name and arguments of today', (sent, args, name, now) => {
  expect(currentCommand({ name: sent, args, v: 1 } as never)).toEqual({ name, args: now })
})

test('what this build made stays as it is, and so do words that only look like a former name', () => {
  const args = { ...template, key: 'plain', body: 'Ask the {owner}' }
  expect(currentCommand({ name: 'put_notice_template', args, v: 2 } as never).args).toBe(args)
  const finding = { id: 'f', words: '"stage":"proving"' }
  expect(currentCommand({ name: 'record_finding', args: finding, v: 1 } as never).args).toBe(finding)
})
