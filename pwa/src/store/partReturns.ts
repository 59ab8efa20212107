import { computed } from '@preact/signals'
import type { PartOrderLine, PartReturn } from '../domain/contract'
import { compare as compareExact, type Exact, exact, minus, plus } from '../domain/numbers/decimal'
import { goodOf } from '../domain/parts/orders'
import { owedOf } from '../domain/parts/returns'
import type { Day } from '../domain/time'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { enqueue } from './queue/outbox'
import { allOf, byAge, byId, ownedBy } from './rows/selectors'

export const partReturn = (id: string) => byId('part_return', id)

/** What the supplier still has to refund of a return, in minor units. */
export const owedOfReturn = ({ state, expected_minor, refunded_minor }: PartReturn) =>
  owedOf(state, expected_minor, refunded_minor)

/** Returns that are to be sent or to be refunded, oldest first. */
export const openReturns = computed(() =>
  allOf('part_return')
    .filter(({ state }) => state === 'to_send' || state === 'sent')
    .sort(byAge),
)

export const returnsOfLine = (line_id: string) => ownedBy('part_return', 'order_line_id', line_id).sort(byAge)

/** An old part that is to go back for its core charge: a line with how many. */
export interface CoreOwed {
  readonly line: PartOrderLine
  readonly quantity: Exact
}

/** The old parts that nobody has put on the list of returns, though a core charge was paid for them. */
export const coresToReturn = computed((): CoreOwed[] =>
  allOf('part_order_line')
    .filter(({ core_minor }) => core_minor > 0)
    .map((line) => ({
      line,
      quantity: minus(goodOf(ownedBy('part_arrival', 'order_line_id', line.id)), returned(line)),
    }))
    .filter(({ quantity }) => compareExact(quantity, exact(0)) > 0)
    .sort((a, b) => byAge(a.line, b.line)),
)

/** How many of a line are on the list of returns as cores, or went back unused with theirs. */
const returned = ({ id }: PartOrderLine): Exact =>
  returnsOfLine(id)
    .filter(({ reason }) => reason === 'core' || reason === 'not_needed')
    .reduce((sum, { quantity }) => plus(sum, exact(quantity)), exact(0))

export const addReturn = (fields: NewRowFields<'add_part_return'>) => sendAdd('add_part_return', fields)
export const editReturn = (seen: PartReturn, wanted: Changes<'edit_part_return'>) =>
  sendEdit('edit_part_return', seen, wanted)
export const removeReturn = (id: string) => sendRemove('remove_part_return', id)

export async function sendReturn(id: string, sent_on: Day): Promise<void> {
  await enqueue('send_part_return', { id, sent_on })
}

export async function refundReturn(
  id: string,
  refund: { amount_minor: number; refunded_on: Day; rest_lost: boolean },
): Promise<void> {
  await enqueue('refund_part_return', { id, ...refund })
}

export async function refuseReturn(id: string, note: string): Promise<void> {
  await enqueue('refuse_part_return', { id, note })
}
