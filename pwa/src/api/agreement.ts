/**
 * Holds the words of `domain/` against what the server says of itself in its OpenAPI file. Nothing here runs:
 * when a row or the arguments of a command change on one side only, this file does not compile, and the
 * error names the fields.
 */
import type { Commands } from '../domain/commands'
import type { Rows } from '../domain/rows'
import type * as Wire from './schema'

type WireRows = { [Kind in keyof Wire.SchemaRows]-?: NonNullable<Wire.SchemaRows[Kind]>[number] }

/**
 * Not compared: price books, whose forms on both sides are held together by the vectors and the generated
 * quotes of their own tests; and the time of receipt, which a decision waiting on the phone does not have.
 */
type Apart = 'book' | 'basis' | 'received_at'

type Agree<Differing> = [Differing] extends [never] ? true : { differing: Differing }

/** The fields that only one side has, or that are wider with us than with the server. */
type OfRow<Ours, Theirs> = Exclude<
  | Exclude<keyof Ours, keyof Theirs>
  | Exclude<keyof Theirs, keyof Ours>
  | {
      [Field in keyof Ours & keyof Theirs]-?: Exclude<Ours[Field], undefined> extends Theirs[Field]
        ? never
        : Field
    }[keyof Ours & keyof Theirs],
  Apart
>

export const rowsAgree: { [Kind in keyof Rows]: Agree<OfRow<Rows[Kind], WireRows[Kind]>> } = {
  shop: true,
  member: true,
  customer: true,
  site: true,
  machine: true,
  meter_reading: true,
  job: true,
  complaint: true,
  finding: true,
  time_entry: true,
  attachment: true,
  work_history: true,
  quote: true,
  quote_line: true,
  approval: true,
  approval_link: true,
  owner_question: true,
  signature: true,
  yard: true,
  rig: true,
  run: true,
  stop: true,
  hand_over: true,
  plan_request: true,
  follow_up: true,
  notice: true,
  notice_template: true,
  opt_out: true,
  printout: true,
  issue: true,
}

interface WireCommands {
  add_customer: Wire.SchemaNewCustomerRequest
  edit_customer: Wire.SchemaEditRequest
  remove_customer: Wire.SchemaTargetRequest
  add_site: Wire.SchemaNewSiteRequest
  edit_site: Wire.SchemaEditRequest
  remove_site: Wire.SchemaTargetRequest
  add_machine: Wire.SchemaNewMachineRequest
  edit_machine: Wire.SchemaEditRequest
  remove_machine: Wire.SchemaTargetRequest
  record_meter: Wire.SchemaMeterRecordRequest
  open_job: Wire.SchemaNewJobRequest
  edit_job: Wire.SchemaEditRequest
  move_job: Wire.SchemaJobMoveRequest
  add_complaint: Wire.SchemaComplaintRecordRequest
  record_finding: Wire.SchemaFindingRecordRequest
  edit_finding: Wire.SchemaEditRequest
  remove_finding: Wire.SchemaTargetRequest
  add_attachment: Wire.SchemaAttachmentRecordRequest
  edit_attachment: Wire.SchemaEditRequest
  remove_attachment: Wire.SchemaTargetRequest
  start_clock: Wire.SchemaClockStartRequest
  stop_clock: Wire.SchemaClockStopRequest
  add_entry: Wire.SchemaEntryByHandRequest
  correct_entry: Wire.SchemaCorrectionRequest
  drop_entry: Wire.SchemaEntryDropRequest
  settle_entries: Wire.SchemaSettlementRequest
  draft_quote: Wire.SchemaNewQuoteRequest
  edit_quote: Wire.SchemaEditRequest
  put_quote_line: Wire.SchemaPutLineRequest
  remove_quote_line: Wire.SchemaTargetRequest
  offer_quote: Wire.SchemaOfferRequest
  decide_quote: Wire.SchemaDecisionRecordRequest
  withdraw_quote: Wire.SchemaTargetRequest
  remake_paper: Wire.SchemaTargetRequest
  send_approval_request: Wire.SchemaSendRequestRequest
  revoke_approval_link: Wire.SchemaTargetRequest
  answer_owner_question: Wire.SchemaTargetRequest
  edit_shop: Wire.SchemaEditRequest
  set_up_yard: Wire.SchemaNewYardRequest
  edit_yard: Wire.SchemaEditRequest
  add_rig: Wire.SchemaNewRigRequest
  edit_rig: Wire.SchemaEditRequest
  report_breakdown: Wire.SchemaBreakdownRequest
  mend_rig: Wire.SchemaTargetRequest
  ask_stop: Wire.SchemaNewStopRequest
  ask_urgent_stop: Wire.SchemaUrgentStopRequest
  edit_stop: Wire.SchemaEditRequest
  drop_stop: Wire.SchemaStopDropRequest
  restore_stop: Wire.SchemaTargetRequest
  pin_stop: Wire.SchemaStopPinRequest
  move_stop: Wire.SchemaStopMoveRequest
  tell_arrival: Wire.SchemaTellingRequest
  open_run: Wire.SchemaNewRunRequest
  lock_run: Wire.SchemaTargetRequest
  unlock_run: Wire.SchemaTargetRequest
  cancel_run: Wire.SchemaTargetRequest
  start_run: Wire.SchemaRunStampRequest
  end_run: Wire.SchemaRunStampRequest
  arrive_stop: Wire.SchemaStopArrivalRequest
  leave_stop: Wire.SchemaStopLeavingRequest
  take_back_stamp: Wire.SchemaStampBackRequest
  fail_stop: Wire.SchemaStopFailureRequest
  hand_over: Wire.SchemaHandOverRecordRequest
  request_plan: Wire.SchemaNewPlanRequest
  cancel_plan: Wire.SchemaTargetRequest
  take_plan: Wire.SchemaTargetRequest
  put_off_follow_up: Wire.SchemaPutOffRequest
  drop_follow_up: Wire.SchemaTargetRequest
  take_up_follow_up: Wire.SchemaTargetRequest
  record_message: Wire.SchemaMessageRecordRequest
  note_sent_by_hand: Wire.SchemaSentByHandRequest
  send_again: Wire.SchemaTargetRequest
  put_notice_template: Wire.SchemaTemplateRecordRequest
  drop_notice_template: Wire.SchemaTargetRequest
  opt_out: Wire.SchemaNewOptOutRequest
  opt_in: Wire.SchemaTargetRequest
  turn_on_push: Wire.SchemaTurnedOnRequest
  turn_off_push: Wire.SchemaTargetRequest
  print_run: Wire.SchemaRunPrintRequest
  print_hand_over: Wire.SchemaHandOverPrintRequest
  print_tags: Wire.SchemaTagPrintRequest
  settle_issue: Wire.SchemaChoiceRequest
}

/** The arguments the server does not know, demands and does not get, or would not take as they are. */
type OfCommand<Ours, Theirs> = Exclude<
  | Exclude<keyof Ours, keyof Theirs>
  | {
      [Field in keyof Theirs]-?: Field extends keyof Ours
        ? Pick<Ours, Field> extends Pick<Theirs, Field>
          ? never
          : Field
        : undefined extends Theirs[Field]
          ? never
          : Field
    }[keyof Theirs],
  Apart
>

export const commandsAgree: {
  [Name in keyof Commands]: Agree<OfCommand<Commands[Name], WireCommands[Name]>>
} = {
  add_customer: true,
  edit_customer: true,
  remove_customer: true,
  add_site: true,
  edit_site: true,
  remove_site: true,
  add_machine: true,
  edit_machine: true,
  remove_machine: true,
  record_meter: true,
  open_job: true,
  edit_job: true,
  move_job: true,
  add_complaint: true,
  record_finding: true,
  edit_finding: true,
  remove_finding: true,
  add_attachment: true,
  edit_attachment: true,
  remove_attachment: true,
  start_clock: true,
  stop_clock: true,
  add_entry: true,
  correct_entry: true,
  drop_entry: true,
  settle_entries: true,
  draft_quote: true,
  edit_quote: true,
  put_quote_line: true,
  remove_quote_line: true,
  offer_quote: true,
  decide_quote: true,
  withdraw_quote: true,
  remake_paper: true,
  send_approval_request: true,
  revoke_approval_link: true,
  answer_owner_question: true,
  edit_shop: true,
  set_up_yard: true,
  edit_yard: true,
  add_rig: true,
  edit_rig: true,
  report_breakdown: true,
  mend_rig: true,
  ask_stop: true,
  ask_urgent_stop: true,
  edit_stop: true,
  drop_stop: true,
  restore_stop: true,
  pin_stop: true,
  move_stop: true,
  tell_arrival: true,
  open_run: true,
  lock_run: true,
  unlock_run: true,
  cancel_run: true,
  start_run: true,
  end_run: true,
  arrive_stop: true,
  leave_stop: true,
  take_back_stamp: true,
  fail_stop: true,
  hand_over: true,
  request_plan: true,
  cancel_plan: true,
  take_plan: true,
  put_off_follow_up: true,
  drop_follow_up: true,
  take_up_follow_up: true,
  record_message: true,
  note_sent_by_hand: true,
  send_again: true,
  put_notice_template: true,
  drop_notice_template: true,
  opt_out: true,
  opt_in: true,
  turn_on_push: true,
  turn_off_push: true,
  print_run: true,
  print_hand_over: true,
  print_tags: true,
  settle_issue: true,
}
