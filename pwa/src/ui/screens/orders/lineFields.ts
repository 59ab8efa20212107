import { isDecimal } from '../../../domain/numbers/decimal'
import { lineForm as t } from '../../../domain/words/partOrders'
import { badAmount } from '../../badAmount'
import { format } from '../../shopFormat'

/** A count above zero as decimal text; null where none can be read. */
export function readCount(typed: string): string | null {
  const decimal = format.value.readNumber(typed)
  return decimal !== null && isDecimal(decimal) && Number(decimal) > 0 && Number(decimal) <= 10_000
    ? decimal
    : null
}

/** An amount in minor units, null for an empty field; undefined where it is none. */
export function readAmount(typed: string): number | null | undefined {
  if (!typed.trim()) return null
  const minor = format.value.readMoney(typed)
  return minor === null || minor < 0 ? undefined : minor
}

export interface OrderLineFields {
  number: string
  description: string
  quantity: string
  cost: string
  core: string
}

export const BLANK_LINE: OrderLineFields = { number: '', description: '', quantity: '1', cost: '', core: '' }

export const checkLine = (fields: OrderLineFields) => ({
  number: !fields.number.trim() && !fields.description.trim() && t.missing,
  quantity: readCount(fields.quantity) === null && t.badQuantity,
  cost: readAmount(fields.cost) === undefined && badAmount(),
  core: readAmount(fields.core) === undefined && badAmount(),
})

/** The fields of a line as they are saved. */
export const lineOf = (fields: OrderLineFields, seesCost: boolean) => ({
  number: fields.number.trim(),
  description: fields.description.trim(),
  quantity: readCount(fields.quantity) ?? '1',
  ...(seesCost && { cost_minor: readAmount(fields.cost) ?? null }),
  core_minor: readAmount(fields.core) ?? 0,
})
