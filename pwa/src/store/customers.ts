import { computed } from '@preact/signals'
import type { Commands, CustomerFields, SiteFields } from '../domain/commands'
import type { Customer, Site } from '../domain/rows'
import { newId } from './clock'
import { editOf } from './editing'
import { enqueue } from './outbox'
import { all, byAge, compare, of, one } from './shown'

/** Customers not put away, by name. */
export const customers = computed(() =>
  all('customer')
    .filter((row) => !row.archived)
    .sort((a, b) => compare(a.name.toLocaleLowerCase(), b.name.toLocaleLowerCase()) || compare(a.id, b.id)),
)

export const customer = (id: string) => one('customer', id)
export const site = (id: string) => one('site', id)
export const sitesOf = (customer_id: string) => of('site', 'customer_id', customer_id).sort(byAge)

export async function addCustomer(customer: Omit<Commands['add_customer'], 'id'>): Promise<string> {
  const id = newId()
  await enqueue('add_customer', { id, ...customer })
  return id
}

/** Changes the fields that differ from what the person saw. */
export async function editCustomer(
  seen: Customer,
  wanted: Partial<Pick<Customer, CustomerFields>>,
): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_customer', edit)
}

export async function removeCustomer(id: string): Promise<void> {
  await enqueue('remove_customer', { id })
}

export async function addSite(site: Omit<Commands['add_site'], 'id'>): Promise<string> {
  const id = newId()
  await enqueue('add_site', { id, ...site })
  return id
}

export async function editSite(seen: Site, wanted: Partial<Pick<Site, SiteFields>>): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_site', edit)
}

export async function removeSite(id: string): Promise<void> {
  await enqueue('remove_site', { id })
}

/** Every place that is known, oldest first. */
export const knownSites = () => all('site').sort(byAge)
