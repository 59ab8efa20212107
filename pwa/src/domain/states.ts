import {
  INVOICE_TRANSITIONS,
  JOB_TRANSITIONS,
  PART_NEED_TRANSITIONS,
  PART_ORDER_TRANSITIONS,
  PART_RETURN_TRANSITIONS,
  QUOTE_TRANSITIONS,
  type Rows,
  RUN_TRANSITIONS,
  STOP_TRANSITIONS,
} from './contract.ts'

/** Whether a job may change from one stage to another; false for the same stage. */
export const mayMove = (from: Rows['job']['stage'], to: Rows['job']['stage']): boolean =>
  allows(JOB_TRANSITIONS, from, to)

export const quoteMayBecome = (from: Rows['quote']['state'], to: Rows['quote']['state']): boolean =>
  allows(QUOTE_TRANSITIONS, from, to)

export const invoiceMayBecome = (from: Rows['invoice']['state'], to: Rows['invoice']['state']): boolean =>
  allows(INVOICE_TRANSITIONS, from, to)

export const runMayBecome = (from: Rows['run']['state'], to: Rows['run']['state']): boolean =>
  allows(RUN_TRANSITIONS, from, to)

export const stopMayBecome = (from: Rows['stop']['state'], to: Rows['stop']['state']): boolean =>
  allows(STOP_TRANSITIONS, from, to)

export const partMayBecome = (from: Rows['part_need']['state'], to: Rows['part_need']['state']): boolean =>
  allows(PART_NEED_TRANSITIONS, from, to)

export const orderMayBecome = (from: Rows['part_order']['state'], to: Rows['part_order']['state']): boolean =>
  allows(PART_ORDER_TRANSITIONS, from, to)

export const returnMayBecome = (
  from: Rows['part_return']['state'],
  to: Rows['part_return']['state'],
): boolean => allows(PART_RETURN_TRANSITIONS, from, to)

/** A state that only a newer server knows has no transitions. */
function allows<State extends string>(
  table: { readonly [From in State]: readonly State[] },
  from: State,
  to: State,
): boolean {
  return (table[from] as readonly State[] | undefined)?.includes(to) ?? false
}
