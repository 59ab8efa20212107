import { computed } from '@preact/signals'
import type { Customer, Site } from '../domain/contract'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { allOf, byAge, byId, compare, ownedBy } from './rows/selectors'

/** Customers that are not archived, by name. */
export const customers = computed(() =>
  allOf('customer')
    .filter((row) => !row.archived)
    .sort((a, b) => compare(a.name.toLocaleLowerCase(), b.name.toLocaleLowerCase()) || compare(a.id, b.id)),
)

export const customer = (id: string) => byId('customer', id)
export const site = (id: string) => byId('site', id)
export const sitesOf = (customer_id: string) => ownedBy('site', 'customer_id', customer_id).sort(byAge)

export const addCustomer = (fields: NewRowFields<'add_customer'>) => sendAdd('add_customer', fields)
export const editCustomer = (seen: Customer, wanted: Changes<'edit_customer'>) =>
  sendEdit('edit_customer', seen, wanted)
export const addSite = (fields: NewRowFields<'add_site'>) => sendAdd('add_site', fields)
export const editSite = (seen: Site, wanted: Changes<'edit_site'>) => sendEdit('edit_site', seen, wanted)
export const removeSite = (id: string) => sendRemove('remove_site', id)

/** All sites, oldest first. */
export const knownSites = () => allOf('site').sort(byAge)
