import type { Command, PriceBook } from '../../domain/contract'
import { type ByCommand, EDITS, MAKES, REMOVES } from '../../domain/contract'
import type { ReplayRows } from '../rows/overlay'
import { addRow, editRow, type ReplayContext } from './context'

const makes: ByCommand = MAKES
const edits: ByCommand = EDITS
const removes: ByCommand = REMOVES

/** Commands without an area: creating ones make a row of defaults and arguments, edits change fields, removals delete. */
export function replayOneRow(rows: ReplayRows, { name, args }: Command, context: ReplayContext): void {
  const [made_kind, edited, removed] = [makes[name], edits[name], removes[name]]
  if (made_kind) addRow(rows, made_kind, args, context)
  if (edited && 'set' in args) editRow(rows, edited, args.id, args.set, context)
  // Up to version 0.2.0 of the app the prices were a field of the shop.
  if (edited === 'shop' && 'set' in args && 'book' in args.set)
    editRow(rows, 'price_book', args.id, { prices: args.set.book as PriceBook['prices'] }, context)
  if (removed) rows.drop(removed, args.id)
}
