import type { Supplier } from '../domain/contract'
import { type Changes, type NewRowFields, sendAdd, sendEdit } from './queue/commands'
import { allOf, byId, compare } from './rows/selectors'

export const supplier = (id: string) => byId('supplier', id)
/** The shop's suppliers by name, archived ones last. */
export const allSuppliers = () =>
  allOf('supplier').sort(
    (a, b) => Number(a.archived) - Number(b.archived) || compare(a.name, b.name) || compare(a.id, b.id),
  )
export const suppliers = () => allSuppliers().filter(({ archived }) => !archived)

export const addSupplier = (fields: NewRowFields<'add_supplier'>) => sendAdd('add_supplier', fields)
export const editSupplier = (seen: Supplier, wanted: Changes<'edit_supplier'>) =>
  sendEdit('edit_supplier', seen, wanted)
