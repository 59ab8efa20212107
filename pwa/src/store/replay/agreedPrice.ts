import { partPrice } from '../../domain/quotes/prices'
import type { ReplayRows } from '../rows/overlay'
import { editRow, type ReplayContext } from './context'

/** Keeps whether a part whose cost or price is another now is dearer than agreed. Twin: `part_priced` of the server's quotes. */
export function noteAboveAgreed(rows: ReplayRows, id: string, context: ReplayContext): void {
  const need = rows.get('part_need', id)
  if (!need) return
  const line = need.line_id === null ? undefined : rows.get('quote_line', need.line_id)
  const prices = line ? rows.get('quote', line.quote_id)?.basis : rows.all('price_book')[0]?.prices
  const { price_minor: unit_price_minor, cost_minor: unit_cost_minor, agreed_minor } = need
  const price = prices ? partPrice(prices, { unit_price_minor, unit_cost_minor }) : unit_price_minor
  const above_agreed = price !== null && agreed_minor !== null && price > agreed_minor
  if (need.above_agreed !== above_agreed) editRow(rows, 'part_need', id, { above_agreed }, context)
}
