import type { CatalogPart, Commands, StockMove, StockPlace, StockSheetKind } from '../domain/contract'
import type { DecimalText } from '../domain/numbers/decimal'
import { levelOf, missingToMinimum, sumOf } from '../domain/parts/stock'
import { moment } from '../domain/time'
import { newId } from './browser/clock'
import { onOrder } from './partOrders'
import { type Changes, type NewRowFields, sendAdd, sendEdit } from './queue/commands'
import { enqueue } from './queue/outbox'
import { allOf, byId, compare, ownedBy } from './rows/selectors'
import { session } from './session/session'

export const stockPlace = (id: string) => byId('stock_place', id)

/** The places: the member's own truck first, those not in use last. */
export function allPlaces(): StockPlace[] {
  const me = session.value.member?.id
  const rank = (row: StockPlace) => (row.archived ? 2 : row.holder_id === me ? 0 : 1)
  return allOf('stock_place').sort(
    (a, b) => rank(a) - rank(b) || compare(a.name, b.name) || compare(a.id, b.id),
  )
}
export const places = () => allPlaces().filter(({ archived }) => !archived)
/** The trucks that the member holds. */
export const myTrucks = () =>
  places().filter(({ kind, holder_id }) => kind === 'truck' && holder_id === session.value.member?.id)

/** The moves of a part, newest first. */
export const movesOfPart = (catalog_part_id: string): StockMove[] =>
  ownedBy('stock_move', 'catalog_part_id', catalog_part_id).sort(
    (a, b) => Date.parse(b.moved_at) - Date.parse(a.moved_at) || compare(b.id, a.id),
  )

const byKey = (moves: readonly StockMove[], key: 'place_id' | 'catalog_part_id') => {
  const found = new Map<string, StockMove[]>()
  for (const move of moves) {
    const there = found.get(move[key])
    if (there) there.push(move)
    else found.set(move[key], [move])
  }
  return new Map([...found].map(([id, there]) => [id, levelOf(there)]))
}

/** How many of a part are at each place where it ever was. */
export const levelsOfPart = (catalog_part_id: string): ReadonlyMap<string, DecimalText> =>
  byKey(ownedBy('stock_move', 'catalog_part_id', catalog_part_id), 'place_id')

/** How many of each part are at a place where it ever was. */
export const levelsAt = (place_id: string): ReadonlyMap<string, DecimalText> =>
  byKey(ownedBy('stock_move', 'place_id', place_id), 'catalog_part_id')

export const levelAt = (catalog_part_id: string, place_id: string): DecimalText =>
  levelsOfPart(catalog_part_id).get(place_id) ?? '0'

/** How many of a part there are at all places. */
export const onHand = (catalog_part_id: string): DecimalText =>
  sumOf([...levelsOfPart(catalog_part_id).values()].map((level) => (level.startsWith('-') ? '0' : level)))

/** How many to order to keep a part's minimum, besides those on order; '0' where that is kept. */
export const missingOf = (part: CatalogPart): DecimalText =>
  missingToMinimum(onHand(part.id), onOrder(part.id), part.minimum)

/** As one walks along the shelves. */
export const byBin = (a: CatalogPart, b: CatalogPart) =>
  compare(a.bin, b.bin) || compare(a.number, b.number) || compare(a.id, b.id)

export const addPlace = (fields: NewRowFields<'add_stock_place'>) => sendAdd('add_stock_place', fields)
export const editPlace = (seen: StockPlace, wanted: Changes<'edit_stock_place'>) =>
  sendEdit('edit_stock_place', seen, wanted)

export const recordStockMove = (fields: Omit<NewRowFields<'record_stock_move'>, 'moved_at'>) =>
  sendAdd('record_stock_move', { ...fields, moved_at: moment(Date.now()) })

export const countStock = (fields: Omit<NewRowFields<'count_stock'>, 'counted_at'>) =>
  sendAdd('count_stock', { ...fields, counted_at: moment(Date.now()) })

export const transferStock = (fields: Omit<NewRowFields<'transfer_stock'>, 'arriving_id' | 'moved_at'>) =>
  sendAdd('transfer_stock', { ...fields, arriving_id: newId(), moved_at: moment(Date.now()) })

export const fitFromStock = (fields: Omit<Commands['fit_from_stock'], 'id' | 'fitted_at'>) =>
  sendAdd('fit_from_stock', { ...fields, fitted_at: moment(Date.now()) })

export const stockSheets = (kind: StockSheetKind, place_id: string | null) =>
  allOf('stock_sheet')
    .filter((sheet) => sheet.kind === kind && sheet.place_id === place_id)
    .sort((a, b) => compare(a.created_at, b.created_at) || compare(a.id, b.id))

export async function printStockSheet(fields: Omit<Commands['print_stock_sheet'], 'id'>): Promise<void> {
  await enqueue('print_stock_sheet', { id: newId(), ...fields })
}
