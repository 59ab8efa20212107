import type { CommandName } from '../../domain/contract'
import type { Replays } from './context'

/** The commands that do more than create, edit or delete one row, by the file of their replay. */
export const COMMANDS_BY_AREA = {
  work: ['record_meter', 'move_job', 'acknowledge_finding', 'record_intake_terms', 'settle_issue'],
  labor: ['start_clock', 'stop_clock', 'add_entry', 'correct_entry', 'drop_entry', 'settle_entries'],
  quotes: [
    'edit_price_book',
    'draft_quote',
    'edit_quote',
    'choose_tax_profile',
    'put_quote_line',
    'remove_quote_line',
    'offer_quote',
    'decide_quote',
    'withdraw_quote',
    'remake_pdf',
    'send_approval_request',
    'revoke_approval_link',
    'answer_customer_question',
  ],
  planning: [
    'repair_rig',
    'edit_site',
    'edit_stop',
    'ask_stop',
    'ask_urgent_stop',
    'drop_stop',
    'restore_stop',
    'pin_stop',
    'move_stop',
    'tell_arrival',
    'open_run',
    'lock_run',
    'unlock_run',
    'cancel_run',
    'request_plan',
    'take_plan',
    'cancel_plan',
    'print_run',
    'print_tags',
    'print_hand_over',
    'print_ticket',
    'send_ticket',
  ],
  driving: [
    'start_run',
    'arrive_stop',
    'leave_stop',
    'take_back_stamp',
    'fail_stop',
    'end_run',
    'report_breakdown',
    'hand_over',
  ],
  notices: [
    'record_message',
    'note_sent_by_hand',
    'send_again',
    'put_notice_template',
    'put_off_follow_up',
    'drop_follow_up',
    'take_up_follow_up',
  ],
} as const satisfies Record<string, readonly CommandName[]>

export type Area = keyof typeof COMMANDS_BY_AREA
export type ReplaysOf<A extends Area> = Replays<(typeof COMMANDS_BY_AREA)[A][number]>
