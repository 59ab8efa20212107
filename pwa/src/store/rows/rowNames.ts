import {
  type About,
  type ByCommand,
  type Command,
  KINDS,
  type Kind,
  MAKES,
  type Rows,
} from '../../domain/contract'
import type { RowsView } from './view'

type NamePart = string | false | null | undefined
/** The name of a row; empty where it is not on the phone. */
type NameOf = (kind: Kind | About | undefined, id: string | null | undefined) => string

/**
 * Names of rows by kind, unless it is the row's name, label or text: in parts, without empty ones. A new row has a
 * longer name.
 */
const NAMES: {
  readonly [K in Kind]?: (row: Partial<Rows[K]>, nameOf: NameOf, isNew: boolean) => readonly NamePart[]
} = {
  site: (row, nameOf) => [nameOf('customer', row.customer_id), row.label],
  machine: (row) => [[row.make, row.model].filter(Boolean).join(' ') || row.kind],
  meter_reading: (row, nameOf) => [nameOf('machine', row.machine_id), row.hours],
  sheet: (row) => [row.title],
  limit: (row, nameOf) => [nameOf('sheet', row.sheet_id), row.what],
  sheet_entry: (row, nameOf) => [nameOf('sheet', row.sheet_id), row.words || row.first],
  job: (row, nameOf, isNew) => [
    row.number ?? row.mark,
    nameOf('customer', row.customer_id),
    isNew && nameOf('machine', row.machine_id),
  ],
  complaint: (row, nameOf) => [nameOf('job', row.job_id), row.words],
  finding: (row, nameOf) => [nameOf('job', row.job_id), row.words],
  circuit: (row, nameOf) => [nameOf('machine', row.machine_id), row.name],
  circuit_observation: (row, nameOf) => [nameOf('job', row.job_id)],
  safety_item: (row, nameOf) => [nameOf('job', row.job_id), row.device?.replaceAll('_', ' ')],
  time_entry: (row, nameOf, isNew) => [nameOf('job', row.job_id), isNew && row.operation],
  quote: (row, nameOf, isNew) => [row.number ?? row.mark, isNew && nameOf('job', row.job_id)],
  quote_line: (row, nameOf) => [nameOf('quote', row.quote_id), row.words],
  intake_terms: (row, nameOf) => [nameOf('job', row.job_id), row.accepted_by_name],
  approval: (row, nameOf) => [nameOf('quote', row.quote_id), row.decided_by_name],
  approval_link: (row, nameOf) => [nameOf('quote', row.quote_id), row.name],
  customer_question: (row, nameOf) => [nameOf('quote', row.quote_id), row.words],
  invoice: (row, nameOf, isNew) => [
    row.number ?? row.mark,
    isNew && (row.job_id ? nameOf('job', row.job_id) : nameOf('customer', row.customer_id)),
  ],
  invoice_line: (row, nameOf) => [nameOf('invoice', row.invoice_id), row.words],
  stop: (row, nameOf) => [nameOf('job', row.job_id)],
  hand_over: (row, nameOf) => [nameOf('stop', row.stop_id)],
  run: (row, nameOf) => [nameOf('rig', row.rig_id), row.day],
  plan_request: (row) => [row.days?.join(', ')],
  printout: ({ run_id, hand_over_id, job_id, machine_ids = [] }, nameOf) => [
    nameOf('run', run_id),
    nameOf('hand_over', hand_over_id),
    nameOf('job', job_id),
    ...machine_ids.slice(0, 3).map((id) => nameOf('machine', id)),
  ],
  supplier: (row) => [row.name],
  catalog_part: (row) => [row.number, row.description],
  part_need: (row, nameOf) => [nameOf('job', row.job_id), row.description],
  stock_move: (row, nameOf) => [
    nameOf('catalog_part', row.catalog_part_id),
    nameOf('stock_place', row.place_id),
  ],
  stock_sheet: (row, nameOf) => [nameOf('stock_place', row.place_id)],
  part_search: (row, nameOf) => [nameOf('part_need', row.need_id), row.asked],
  part_order: (row, nameOf) => [row.number ?? row.mark, nameOf('supplier', row.supplier_id)],
  part_order_line: (row, nameOf) => [nameOf('part_order', row.order_id), row.description || row.number],
  part_arrival: (row, nameOf) => [nameOf('part_order_line', row.order_line_id)],
  part_return: (row, nameOf) => [nameOf('supplier', row.supplier_id), row.description || row.number],
  payment: (row, nameOf) => [nameOf('job', row.job_id)],
  label_sheet: (row, nameOf) => [nameOf('job', row.job_id)],
  follow_up: (row) => [row.why],
  issue: (row) => [row.words],
  attachment: (row, nameOf) => [nameOf(row.about_kind, row.about_id), row.caption],
  notice: (row) => [row.name, row.subject || row.body],
  notice_template: (row) => [row.subject || row.body],
  opt_out: (row) => [row.address],
}

const makes: ByCommand = MAKES

/**
 * The names of each command's subject: the customer, the machine, the mark of a job or a quote. Commands may be about
 * rows that earlier ones of the same list create.
 */
export function namesOfCommands(view: RowsView, commands: readonly Command[]): string[] {
  const made = new Map<string, string>()
  const nameOf: NameOf = (kind, id) => {
    // A newer server may know more kinds; the part of a machine is none.
    const row = id && KINDS.includes(kind as Kind) ? view.peek(kind as Kind, id) : undefined
    return (row && rowName(kind as Kind, row, nameOf, false)) ?? made.get(id ?? '') ?? ''
  }
  return commands.map(({ name: command, args }) => {
    const kind = makes[command]
    const name = kind
      ? rowName(kind, args, nameOf, true)
      : nameOf(
          KINDS.find((one) => view.peek(one, args.id)),
          args.id,
        ) || joined(usualName(args))
    made.set(args.id, name)
    return name
  })
}

function rowName<K extends Kind>(kind: K, row: Partial<Rows[K]>, nameOf: NameOf, isNew: boolean): string {
  return joined(NAMES[kind]?.(row, nameOf, isNew) ?? usualName(row))
}

/** The fields that most kinds are named by. */
function usualName(row: object): readonly NamePart[] {
  const { name, label, words } = row as { name?: string; label?: string; words?: string }
  return [name ?? label ?? words]
}

function joined(parts: readonly NamePart[]): string {
  return parts
    .flatMap((part) => part || [])
    .map((part) => (part.length > 80 ? `${part.slice(0, 79)}…` : part))
    .join(' · ')
}
