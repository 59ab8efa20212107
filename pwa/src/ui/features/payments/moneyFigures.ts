import type { Job } from '../../../domain/contract'
import { money as t } from '../../../domain/words/payments'
import { type Account, accountOfJob, type Money, moneyOf } from '../../../store/payments'
import { decidedQuotes } from '../../../store/quotes'
import type { Route } from '../../router'
import { format } from '../../shopFormat'
import { calculateQuote } from '../quotes/quoteCalculation'

type Figure = readonly [name: string, value: string]

/** Approved, billed, paid and open, or the deposit in hand before there is a bill; empty while there is no money yet. */
export function moneyFigures(money: Money): Figure[] {
  const shown = format.value.money
  if (!money.has_bill && !money.paid) return []
  const billed: Figure[] = money.has_bill
    ? [
        [t.billed, shown(money.billed)],
        [t.paid, shown(money.paid)],
        [t.open, shown(money.open)],
      ]
    : [[t.inHand, shown(money.unused)]]
  return money.agreed ? [[t.approved, shown(money.agreed)], ...billed] : billed
}

/** What of the agreed deposits of a job is still to be taken, in minor units; 0 once there is a bill. */
export function depositDue(job: Job): number {
  const { has_bill, paid } = moneyOf(accountOfJob(job))
  if (has_bill) return 0
  const agreed = decidedQuotes(job.id).map((quote) => calculateQuote(quote).sums?.deposit_minor ?? 0)
  return Math.max(0, agreed.reduce((sum, minor) => sum + minor, 0) - paid)
}

/** Where money of an account is taken, or given back. */
export const payRoute = ({ job_id, invoice_id }: Pick<Account, 'job_id' | 'invoice_id'>): Route =>
  invoice_id === null ? { at: 'job-pay', id: job_id ?? '' } : { at: 'invoice-pay', id: invoice_id }
export const refundRoute = ({ job_id, invoice_id }: Pick<Account, 'job_id' | 'invoice_id'>): Route =>
  invoice_id === null ? { at: 'job-refund', id: job_id ?? '' } : { at: 'invoice-refund', id: invoice_id }

/** Where all money of a job, or of an invoice without one, is shown. */
export const moneyRoute = ({ job_id, invoice_id }: Pick<Account, 'job_id' | 'invoice_id'>): Route =>
  job_id === null ? { at: 'invoice-money', id: invoice_id ?? '' } : { at: 'job-money', id: job_id }
