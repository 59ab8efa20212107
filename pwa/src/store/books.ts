import type { Accounts, CountedTakings, PeriodClose } from '../domain/contract'
import { sendAdd, sendEdit } from './queue/commands'
import { allOf, compare } from './rows/selectors'

/** What was closed and opened, newest first. */
export const closings = (): PeriodClose[] =>
  allOf('period_close').sort(
    (a, b) => Date.parse(b.created_at) - Date.parse(a.created_at) || compare(b.id, a.id),
  )

/** The last day that is closed; null: nothing is. */
export const closedThrough = (): string | null => closings()[0]?.closed_through ?? null

export const closePeriod = (closed_through: string, note: string, counted: readonly CountedTakings[] = []) =>
  sendAdd('close_period', { closed_through, note, counted: [...counted] })

export const billingSettings = () => allOf('billing_settings')[0]

/** Saves the names of the accounts; the other settings stay. */
export async function saveAccounts(accounts: Accounts): Promise<void> {
  const seen = billingSettings()
  if (seen) await sendEdit('edit_account_names', seen, { accounts })
}
