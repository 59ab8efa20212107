import type { Gauge, GaugeCopy } from '../domain/contract'
import { type Changes, type NewRowFields, sendAdd, sendEdit } from './queue/commands'
import { allOf, byId, compare } from './rows/selectors'

export const gauge = (id: string) => byId('gauge', id)
/** The shop's gauges by name, those out of use last. */
export const allGauges = () =>
  allOf('gauge').sort(
    (a, b) => Number(a.archived) - Number(b.archived) || compare(a.name, b.name) || compare(a.id, b.id),
  )
/** The gauges in use. */
export const gauges = () => allGauges().filter(({ archived }) => !archived)

export const addGauge = (fields: NewRowFields<'add_gauge'>) => sendAdd('add_gauge', fields)
export const editGauge = (seen: Gauge, wanted: Changes<'edit_gauge'>) =>
  sendEdit('edit_gauge', seen, wanted, ['quantity', 'unit', 'resolution', 'uncertainty'])

/** The copy of a gauge that is stored with a reading. */
export function copyOfGauge(row: Gauge): GaugeCopy {
  const { id, name, kind, unit, resolution, uncertainty, calibrated_on } = row
  return { gauge_id: id, name, kind, unit, resolution, uncertainty, calibrated_on }
}
