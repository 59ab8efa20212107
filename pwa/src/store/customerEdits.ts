/** Edits of customers and sites. Apart from `customers.ts`, which the app starts with: they need the defaults of the rows. */
import type { Command, Customer, Site } from '../domain/contract'
import { DEFAULTS } from '../domain/contractDefaults'
import { type Changes, editArgs, sendEdit } from './queue/commands'

/** The command that edits a customer; undefined where nothing changes. */
export function editCustomerCommand(seen: Customer, wanted: Changes<'edit_customer'>): Command | undefined {
  const args = editArgs(seen, wanted as Partial<Customer>)
  return args ? ({ name: 'edit_customer', args } as Command) : undefined
}
/** `seen`: a row that an earlier version of the app stored names no language. */
export const editCustomer = (seen: Customer, wanted: Changes<'edit_customer'>) =>
  sendEdit('edit_customer', { ...DEFAULTS.customer, ...seen }, wanted)
/** `seen`: a row that an earlier version of the app stored lacks what it did not know. */
export const editSite = (seen: Site, wanted: Changes<'edit_site'>) =>
  sendEdit('edit_site', { ...DEFAULTS.site, ...seen }, wanted, POSITION)
/** What the server takes together or not at all: a position with whence it comes and how sure it is. */
const POSITION = ['lat', 'lon', 'position_source', 'position_within_m'] as const
