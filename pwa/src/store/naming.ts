import type { Command } from '../domain/commands'
import { shownName } from '../domain/marks'
import type { About, Customer, Kind, Rows } from '../domain/rows'
import type { View } from './view'

/**
 * What each command is about, by the names people use: the owner, the machine, the mark of a job or a
 * quote. Later commands may name rows that earlier ones of the same list make.
 */
export function namesIn(view: View, commands: readonly Command[]): string[] {
  const made = new Map<string, string>()
  return commands.map((command) => {
    const name = nameOf(view, made, command)
    made.set(command.args.id, name)
    return name
  })
}

function nameOf(view: View, made: ReadonlyMap<string, string>, { name, args }: Command): string {
  const of = <K extends Kind>(kind: K, id: string, read: (row: Rows[K]) => string) => {
    const row = view.peek(kind, id)
    return row ? read(row) : (made.get(id) ?? '')
  }
  const customer = (id: string) => of('customer', id, (row: Customer) => row.name)
  const machine = (id: string) => of('machine', id, (row) => machineName(row))
  const quote = (id: string) => of('quote', id, shownName)
  const job = (id: string) => of('job', id, (row) => joined(shownName(row), customer(row.customer_id)))
  const finding = (id: string) => of('finding', id, (row) => joined(job(row.job_id), row.words))
  const time = (id: string) => of('time_entry', id, (row) => (row.job_id === null ? '' : job(row.job_id)))
  const rig = (id: string) => of('rig', id, (row) => row.name)
  const stop = (id: string) => of('stop', id, (row) => job(row.job_id))
  const about = (kind: About, id: string) => {
    switch (kind) {
      case 'finding':
        return finding(id)
      case 'machine':
        return machine(id)
      case 'job':
        return job(id)
      case 'stop':
        return stop(id)
      case 'part':
        return ''
    }
  }
  switch (name) {
    case 'add_customer':
      return args.name
    case 'edit_customer':
    case 'remove_customer':
      return customer(args.id)
    case 'add_site':
      return joined(customer(args.customer_id), args.label)
    case 'edit_site':
    case 'remove_site':
      return of('site', args.id, (row) => joined(customer(row.customer_id), row.label))
    case 'add_machine':
      return machineName(args)
    case 'edit_machine':
    case 'remove_machine':
      return machine(args.id)
    case 'record_meter':
      return joined(machine(args.machine_id), args.hours)
    case 'open_job':
      return joined(args.mark, customer(args.customer_id), machine(args.machine_id))
    case 'edit_job':
    case 'move_job':
      return job(args.id)
    case 'add_complaint':
    case 'record_finding':
      return joined(job(args.job_id), args.words)
    case 'edit_finding':
    case 'remove_finding':
      return finding(args.id)
    case 'add_attachment':
      return joined(about(args.about_kind, args.about_id), args.caption ?? '')
    case 'edit_attachment':
    case 'remove_attachment':
      return of('attachment', args.id, (row) => joined(about(row.about_kind, row.about_id), row.caption))
    case 'start_clock':
    case 'add_entry':
    case 'correct_entry':
      return joined(args.job_id === null ? '' : job(args.job_id), args.operation)
    case 'stop_clock':
    case 'drop_entry':
    case 'settle_entries':
      return time(args.id)
    case 'draft_quote':
      return joined(args.mark, job(args.job_id))
    case 'edit_quote':
    case 'offer_quote':
    case 'withdraw_quote':
    case 'remake_paper':
      return quote(args.id)
    case 'put_quote_line':
      return joined(quote(args.quote_id), args.words)
    case 'remove_quote_line':
      return of('quote_line', args.id, (row) => joined(quote(row.quote_id), row.words))
    case 'decide_quote':
      return joined(quote(args.quote_id), args.decided_by_name)
    case 'set_up_yard':
    case 'edit_yard':
      return ''
    case 'add_rig':
      return args.name
    case 'edit_rig':
    case 'report_breakdown':
    case 'mend_rig':
      return rig(args.id)
    case 'ask_stop':
    case 'ask_urgent_stop':
      return job(args.job_id)
    case 'edit_stop':
    case 'drop_stop':
    case 'restore_stop':
    case 'pin_stop':
    case 'move_stop':
    case 'tell_arrival':
    case 'arrive_stop':
    case 'leave_stop':
    case 'take_back_stamp':
    case 'fail_stop':
      return stop(args.id)
    case 'hand_over':
      return stop(args.stop_id)
    case 'open_run':
      return joined(rig(args.rig_id), args.day)
    case 'lock_run':
    case 'unlock_run':
    case 'cancel_run':
    case 'start_run':
    case 'end_run':
      return of('run', args.id, (row) => joined(rig(row.rig_id), row.day))
    case 'request_plan':
      return args.days.join(', ')
    case 'print_run':
      return of('run', args.run_id, (row) => joined(rig(row.rig_id), row.day))
    case 'print_hand_over':
      return of('hand_over', args.hand_over_id, (row) => stop(row.stop_id))
    case 'print_tags':
      return joined(...args.machine_ids.slice(0, 3).map(machine))
    case 'cancel_plan':
    case 'take_plan':
      return of('plan_request', args.id, (row) => row.days.join(', '))
    case 'send_approval_request':
      return joined(quote(args.quote_id), args.name ?? '')
    case 'revoke_approval_link':
      return of('approval_link', args.id, (row) => joined(quote(row.quote_id), row.name))
    case 'answer_owner_question':
      return of('owner_question', args.id, (row) => joined(quote(row.quote_id), row.words))
    case 'put_off_follow_up':
    case 'drop_follow_up':
    case 'take_up_follow_up':
      return of('follow_up', args.id, (row) => row.why)
    case 'record_message':
      return joined(args.name, args.body)
    case 'note_sent_by_hand':
    case 'send_again':
      return of('notice', args.id, (row) => joined(row.name, row.subject || row.body))
    case 'put_notice_template':
      return args.subject || args.body
    case 'drop_notice_template':
      return of('notice_template', args.id, (row) => row.subject || row.body)
    case 'opt_out':
      return args.address
    case 'opt_in':
      return of('opt_out', args.id, (row) => row.address)
    case 'turn_on_push':
    case 'turn_off_push':
      return ''
    case 'edit_shop':
      return of('shop', args.id, (row) => row.name)
    case 'settle_issue':
      return of('issue', args.id, (row) => row.words)
  }
}

function machineName(row: { kind: string; make?: string; model?: string }): string {
  return [row.make, row.model].filter(Boolean).join(' ') || row.kind
}

function joined(...parts: string[]): string {
  return parts
    .filter((part) => part !== '')
    .map((part) => (part.length > 80 ? `${part.slice(0, 79)}…` : part))
    .join(' · ')
}
