import { nextReminder } from '../../../domain/billing/paymentReminders'
import type { Invoice } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { owed as t } from '../../../domain/words/owed'
import { billingSettings } from '../../../store/invoices'
import { noticesAbout } from '../../../store/notices'
import { openOf } from '../../../store/payments'
import { format, today } from '../../shopFormat'

const REMINDERS: ReadonlySet<string> = new Set(['payment_reminder', 'payment_overdue'])

/** How often the customer of an open invoice was reminded, and when the next reminder goes out; empty: not staged. */
export function reminderText(invoice: Invoice): string {
  const { id, due_on } = invoice
  const stages = billingSettings()?.reminder_days ?? []
  if (!due_on || !stages.length || openOf(invoice) <= 0) return ''
  const gone = noticesAbout([id]).filter(({ template, state }) => REMINDERS.has(template) && state === 'sent')
  const next = nextReminder(due_on, today(), stages)
  return en.app.joined([
    gone.length ? t.reminded(gone.length) : '',
    next ? t.nextReminder(next.stage, format.value.day(next.on)) : t.lastReminder,
  ])
}
