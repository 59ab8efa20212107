import { computed } from '@preact/signals'
import type { Command, Commands } from '../domain/contract'
import { newId } from './browser/clock'
import { type NewRowFields, sendAdd, sendRemove } from './queue/commands'
import { allOf, byAge, byId, compare, ownedBy } from './rows/selectors'

/** Customers that are not archived, by name. */
export const customers = computed(() =>
  allOf('customer')
    .filter((row) => !row.archived)
    .sort((a, b) => compare(a.name.toLocaleLowerCase(), b.name.toLocaleLowerCase()) || compare(a.id, b.id)),
)

export const customer = (id: string) => byId('customer', id)
export const site = (id: string) => byId('site', id)
/** The customer's own address where no site has it yet; empty otherwise. */
export function addressOnFile(id: string): string {
  const address = customer(id)?.address.trim() ?? ''
  return sitesOf(id).some((row) => row.address.trim() === address) ? '' : address
}
export const sitesOf = (customer_id: string) => ownedBy('site', 'customer_id', customer_id).sort(byAge)

export const addCustomer = (fields: NewRowFields<'add_customer'>) => sendAdd('add_customer', fields)
export const addSite = (fields: NewRowFields<'add_site'>) => sendAdd('add_site', fields)
export const removeSite = (id: string) => sendRemove('remove_site', id)

/** A known site of the customer, or a new one. */
export type Place = { id: string } | Omit<Commands['add_site'], 'id' | 'customer_id'>

/** The id of a place's site, and the command that makes it where it is new. */
export function siteAt(customer_id: string, place: Place): { site_id: string; commands: Command[] } {
  if ('id' in place) return { site_id: place.id, commands: [] }
  const site_id = newId()
  return { site_id, commands: [{ name: 'add_site', args: { id: site_id, customer_id, ...place } }] }
}

/** All sites, oldest first. */
export const knownSites = () => allOf('site').sort(byAge)
