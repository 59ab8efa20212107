import * as api from '../api/priceLists'
import type {
  SchemaPriceListCheck,
  SchemaPriceListOptionsRequest,
  SchemaSupplierPriceListRow,
  SchemaSupplierPriceRow,
} from '../api/schema'
import { newId } from './browser/clock'
import { answered } from './customerImports'

/** Price lists of suppliers. They are long, so they stay on the server: looked up and imported with a signal only. */
export type PriceListRow = Omit<SchemaSupplierPriceListRow, 'created_at' | 'changed_at'>
export type PriceListCheck = SchemaPriceListCheck
export type PriceListOptions = Required<SchemaPriceListOptionsRequest>
export type ListedPrice = Omit<SchemaSupplierPriceRow, 'created_at' | 'changed_at'>

export const readPriceLists = () => answered(api.readPriceLists())
export const readPriceList = (id: string) => answered(api.readPriceList(id))
export const checkPriceList = (id: string, options: PriceListOptions) =>
  answered(api.checkPriceList(id, options))
export const importPriceList = (id: string, options: PriceListOptions) =>
  answered(api.importPriceList(id, options))
export const findPrices = (words: string) => answered(api.findPrices(words))

/** Uploads a chosen file as a list of a supplier; returns the id of the list. */
export function uploadPriceList(supplier_id: string, file: File) {
  const id = newId()
  return answered(
    file
      .arrayBuffer()
      .then((bytes) => api.uploadPriceList(id, supplier_id, file.name, new Uint8Array(bytes)))
      .then(() => id),
  )
}
