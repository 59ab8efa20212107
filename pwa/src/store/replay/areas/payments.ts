import type { CompleteArguments, Payment } from '../../../domain/contract'
import type { ReplayRows } from '../../rows/overlay'
import { byAge } from '../../rows/selectors'
import type { ReplaysOf } from '../commandAreas'
import { addRow, correctedTime, dayAt, type ReplayContext } from '../context'

export const replays: ReplaysOf<'payments'> = {
  record_payment: enter,
  record_refund: (rows, args, context) => enter(rows, { ...args, kind: 'refund', tip_minor: 0 }, context),
  reverse_payment: (rows, args, context) => {
    const mistaken = rows.get('payment', args.reverses_id)
    const again = rows
      .all('payment')
      .some(({ id, reverses_id }) => reverses_id === args.reverses_id && id !== args.id)
    if (!mistaken || mistaken.reverses_id !== null || again) return
    const { created_at, changed_at, ...same } = mistaken
    const paid_at = correctedTime(args.paid_at, context)
    const closed = rows.all('period_close').sort(byAge).at(-1)?.closed_through ?? ''
    // What is closed does not change: then the day of the reversal counts.
    const paid_on = mistaken.paid_on > closed ? mistaken.paid_on : dayAt(rows, paid_at)
    if (paid_on <= closed) return
    addRow(rows, 'payment', { ...same, ...args, member_id: context.member_id, paid_at, paid_on }, context)
  },
  print_receipt: (rows, args, context) => {
    const payment = rows.get('payment', args.payment_id)
    const { customer_id } = payment ?? {}
    if (customer_id) addRow(rows, 'billing_printout', { ...args, kind: 'receipt', customer_id }, context)
  },
  print_statement: (rows, args, context) =>
    addRow(rows, 'billing_printout', { ...args, kind: 'statement' }, context),
  // The message is the server's.
  send_billing_printout: () => undefined,
}

type Entry = CompleteArguments<'record_refund'> & Pick<Payment, 'kind' | 'tip_minor'>

function enter(rows: ReplayRows, args: Entry, context: ReplayContext): void {
  const account = accountOf(rows, args)
  const paid_at = correctedTime(args.paid_at, context)
  const paid_on = args.paid_on ?? dayAt(rows, paid_at)
  if (account) addRow(rows, 'payment', { ...args, ...account, paid_at, paid_on }, context)
}

/** Where an entry belongs; nothing where the server would not find it. */
function accountOf(
  rows: ReplayRows,
  { job_id, invoice_id }: Entry,
): Pick<Payment, 'job_id' | 'invoice_id' | 'customer_id'> | undefined {
  if (invoice_id === null) {
    const job = job_id === null ? undefined : rows.get('job', job_id)
    return job && { job_id, invoice_id, customer_id: job.customer_id }
  }
  const invoice = rows.get('invoice', invoice_id)
  if (!invoice || (job_id !== null && job_id !== invoice.job_id)) return undefined
  return {
    job_id: invoice.job_id,
    invoice_id: invoice.credited_id ?? invoice.id,
    customer_id: invoice.customer_id,
  }
}
