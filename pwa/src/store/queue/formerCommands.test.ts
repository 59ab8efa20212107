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
  ['remake_paper', { id: 'quote' }, 'remake_pdf', { id: 'quote' }],
  ['answer_owner_question', { id: 'q' }, 'answer_customer_question', { id: 'q' }],
  ['move_job', { id: 'job', stage: 'proving' }, 'move_job', { id: 'job', stage: 'testing' }],
  [
    'edit_shop',
    {
      id: 's',
      base: { follow_ups: { ask_owner: false } },
      set: { follow_ups: { ask_owner: true }, paper: 'a4' },
    },
    'edit_shop',
    {
      id: 's',
      base: { follow_ups: { ask_customer: false } },
      set: { follow_ups: { ask_customer: true }, paper_size: 'a4' },
    },
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

test('arguments of 0.3.0 have the names of today', () => {
  expect(
    currentCommand({
      name: 'edit_shop',
      args: { id: 's', set: { paper: 'a4', name: '{owner}' } },
      v: 2,
    } as never),
  ).toEqual({ name: 'edit_shop', args: { id: 's', set: { paper_size: 'a4', name: '{owner}' } } })
})

test('what this build made stays as it is, and so do words that only look like a former name', () => {
  const args = { ...template, key: 'plain', body: 'Ask the {owner}' }
  expect(currentCommand({ name: 'put_notice_template', args, v: 2 } as never).args).toBe(args)
  const finding = { id: 'f', words: '"stage":"proving"' }
  expect(currentCommand({ name: 'record_finding', args: finding, v: 1 } as never).args).toBe(finding)
})
