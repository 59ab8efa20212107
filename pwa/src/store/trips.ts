import { isTravelAgreed } from '../domain/billing/collecting'
import type { Stop } from '../domain/contract'
import { decidedOn } from './agreed'
import { stopsOfJob } from './dispatch'
import { invoicesOf, linesOfInvoice } from './invoices'
import { allOf, compare } from './rows/selectors'

/** The pickups and returns of a job that are done, oldest first. */
export const tripsOf = (job_id: string): Stop[] =>
  stopsOfJob(job_id)
    .filter(({ kind, state, left_at }) => kind !== 'visit' && state === 'left' && left_at !== null)
    .sort((a, b) => compare(a.left_at ?? '', b.left_at ?? '') || compare(a.id, b.id))

/** The trips that no travel was agreed for and that are on no bill. */
export function tripsToBill(job_id: string): Stop[] {
  if (isTravelAgreed(decidedOn(job_id))) return []
  const counting = invoicesOf(job_id).filter(({ kind, state }) => kind === 'invoice' && state !== 'cancelled')
  const billed = new Set(counting.flatMap(({ id }) => linesOfInvoice(id)).map(({ stop_id }) => stop_id))
  return tripsOf(job_id).filter(({ id }) => !billed.has(id))
}

/** How far or in which zone the trip to a place was that was billed last. */
export function lastBilledTrip(site_id: string | null): { distance: string | null; zone_key: string | null } {
  const at = (stop: Stop) => site_id !== null && stop.site_id === site_id
  const there = new Set(allOf('stop').flatMap((stop) => (at(stop) ? [stop.id] : [])))
  const issued = allOf('invoice')
    .filter(({ kind, state }) => kind === 'invoice' && state !== 'draft')
    .sort((a, b) => compare(a.issued_at ?? '', b.issued_at ?? ''))
  const lines = issued.flatMap(({ id }) => linesOfInvoice(id).toSorted((a, b) => compare(a.id, b.id)))
  const last = lines.filter(({ stop_id }) => stop_id !== null && there.has(stop_id ?? '')).at(-1)
  return { distance: last?.distance ?? null, zone_key: last?.zone_key ?? null }
}
