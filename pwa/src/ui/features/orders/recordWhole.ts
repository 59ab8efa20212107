import type { PartOrderLine } from '../../../domain/contract'
import { quantityText } from '../../../domain/parts/stock'
import { recordArrival, stillToCome } from '../../../store/partOrders'
import { usualPlace } from './orderText'

/** Records that all of a line came that is to come; what is for the shelf goes to the first shelf. Returns its id. */
export function recordWhole(line: PartOrderLine): Promise<string> {
  const place = usualPlace()
  const { catalog_part_id, need_id } = line
  const shelf = catalog_part_id && !need_id && place ? { catalog_part_id, place_id: place.id } : undefined
  return recordArrival({ order_line_id: line.id, quantity: quantityText(stillToCome(line)) }, { shelf })
}
