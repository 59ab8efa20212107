import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, settingFields } from '../context'

const NO_REASON = { reason: '', because: null } as const

export const replays: ReplaysOf<'notices'> = {
  record_message: (rows, args, context) => {
    const sent_at = correctedTime(args.sent_at, context)
    const sent = {
      channel: 'by_hand',
      has_link: false,
      state: 'sent',
      not_before: sent_at,
      sent_at,
    } as const
    addRow(rows, 'notice', { ...args, ...sent }, context)
  },
  note_sent_by_hand: settingFields(
    'notice',
    ({ sent_at }, context) => ({ state: 'sent', ...NO_REASON, sent_at: correctedTime(sent_at, context) }),
    ({ state }) => state !== 'sent' && state !== 'sending',
  ),
  send_again: settingFields(
    'notice',
    (_, context) => ({
      state: 'waiting',
      ...NO_REASON,
      tries: 0,
      not_before: correctedTime(context.at, context),
    }),
    ({ state }) => state === 'waiting' || state === 'refused' || state === 'unknown',
  ),
  put_notice_template: (rows, args, context) => {
    const known = rows
      .all('notice_template')
      .find(({ key, channel }) => key === args.key && channel === args.channel)
    addRow(rows, 'notice_template', { ...args, id: known?.id ?? args.id }, context)
  },
  put_off_follow_up: settingFields(
    'follow_up',
    ({ until }) => ({ until }),
    ({ state }) => state === 'open',
  ),
  drop_follow_up: settingFields(
    'follow_up',
    () => ({ state: 'dropped' }),
    ({ state }) => state === 'open',
  ),
  take_up_follow_up: settingFields(
    'follow_up',
    () => ({ state: 'open', until: null }),
    ({ state }) => state !== 'done',
  ),
}
