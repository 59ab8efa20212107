import { isSameThing, standing } from '../domain/bench/readings'
import type { Commands, Limit, Machine, Reading } from '../domain/contract'
import { isAmount } from '../domain/machines/limits'
import { matchSheets } from '../domain/machines/sheetMatching'
import { UNITS } from '../domain/numbers/quantities'
import { moment } from '../domain/time'
import { sendAdd } from './queue/commands'
import { allOf, byAge, byId, ownedBy } from './rows/selectors'

export const reading = (id: string) => byId('reading', id)

/** The readings of a job that count, oldest first. */
export const readingsOf = (job_id: string) => standing(ownedBy('reading', 'job_id', job_id).sort(byAge))

/** The readings of a machine over its life that count, oldest first. */
export const readingsOfMachine = (machine_id: string) =>
  standing(ownedBy('reading', 'machine_id', machine_id)).sort(
    (a, b) => Date.parse(a.taken_at) - Date.parse(b.taken_at) || byAge(a, b),
  )

/** The readings of the same thing on the same machine that count, oldest first. */
export const seriesOf = (row: Reading) =>
  readingsOfMachine(row.machine_id).filter((other) => isSameThing(other, row))

/** Records what was measured, now. */
export const recordReading = (fields: Omit<Commands['record_reading'], 'id' | 'taken_at'>) =>
  sendAdd('record_reading', { ...fields, taken_at: moment(Date.now()) })

/** The limits on the shop's sheets that are about a machine, those of the best sheet first. */
export const limitsForMachine = (machine: Machine): Limit[] =>
  matchSheets(
    machine,
    allOf('sheet').filter(({ archived }) => !archived),
  )
    .flatMap(({ sheet }) => ownedBy('limit', 'sheet_id', sheet.id).sort(byAge))
    // Figures or units that only a newer server knows cannot be measured against here.
    .filter(
      ({ unit, nominal, tolerance, low, high }) =>
        UNITS.has(unit) && [nominal, tolerance, low, high].every(isAmount),
    )
