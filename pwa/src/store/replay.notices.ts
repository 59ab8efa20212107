import type { CommandName } from '../domain/commands'
import { born, edit, type Replays } from './made'

export type NoticeCommands = Extract<
  CommandName,
  | 'record_message'
  | 'note_sent_by_hand'
  | 'send_again'
  | `${'put' | 'drop'}_notice_template`
  | `opt_${'out' | 'in'}`
  | `${'put_off' | 'drop' | 'take_up'}_follow_up`
  | `turn_${'on' | 'off'}_push`
>

export const noticeReplays: Replays<NoticeCommands> = {
  record_message: (world, args, made) =>
    world.put('notice', {
      ...born(world, 'notice', args.id, made),
      channel: 'by_hand',
      has_link: false,
      state: 'sent',
      reason: '',
      tries: 0,
      not_before: args.sent_at,
      member_id: made.member_id,
      ...args,
    }),
  note_sent_by_hand: (world, args, made) =>
    edit(world, 'notice', args.id, { state: 'sent', reason: '', sent_at: args.sent_at }, made),
  send_again: (world, args, made) =>
    edit(world, 'notice', args.id, { state: 'waiting', reason: '', tries: 0 }, made),
  put_notice_template: (world, args, made) =>
    world.put('notice_template', { ...born(world, 'notice_template', args.id, made), ...args }),
  drop_notice_template: (world, args) => world.drop('notice_template', args.id),
  opt_out: (world, args, made) =>
    world.put('opt_out', {
      ...born(world, 'opt_out', args.id, made),
      reason: '',
      member_id: made.member_id,
      ...args,
    }),
  opt_in: (world, args) => world.drop('opt_out', args.id),
  put_off_follow_up: (world, args, made) => edit(world, 'follow_up', args.id, { until: args.until }, made),
  drop_follow_up: (world, args, made) => edit(world, 'follow_up', args.id, { state: 'dropped' }, made),
  take_up_follow_up: (world, args, made) =>
    edit(world, 'follow_up', args.id, { state: 'open', until: null }, made),
  // Which device shows push messages is told to that device alone: see `push.ts`.
  turn_on_push: () => undefined,
  turn_off_push: () => undefined,
}
