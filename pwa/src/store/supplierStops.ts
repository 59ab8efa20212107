/** Stops that fetch parts at a supplier. */
import type { Command, Run, Stop } from '../domain/contract'
import { isPendingStop } from '../domain/dispatch/runs'
import { newId } from './browser/clock'
import { stopsOfRun } from './dispatch'
import { moveCommand } from './dispatchCommands'
import { type Changes, sendEdit } from './queue/commands'
import { enqueue, enqueueAll } from './queue/outbox'
import { allOf } from './rows/selectors'

/** The stop that is to fetch parts at a supplier and nobody has been to yet. */
export const fetchStopAt = (supplier_id: string): Stop | undefined =>
  allOf('stop').find((row) => row.supplier_id === supplier_id && isPendingStop(row.state))

/** Requests a stop to fetch parts at a supplier, last on a run if one is given. Returns the undo. */
export async function fetchAtSupplier(supplier_id: string, run: Run | null): Promise<() => Promise<void>> {
  const id = newId()
  const commands: Command[] = [{ name: 'ask_supplier_stop', args: { id, supplier_id } }]
  if (run) {
    const trip = Math.max(0, ...stopsOfRun(run.id).map((each) => each.trip))
    commands.push(moveCommand(id, { run_id: run.id, trip, position: LAST }))
  }
  await enqueueAll(commands)
  return async () => {
    await enqueue('drop_stop', { id, reason: '' })
  }
}

/** The highest position that the command takes; the stop is put behind the others. */
const LAST = 500

/** Edits a stop at a supplier, which has no site. */
export const editSupplierStop = (seen: Stop, wanted: Changes<'edit_stop'>) =>
  sendEdit('edit_stop', seen, wanted)
