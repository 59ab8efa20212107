import type { Job, Machine } from '../../domain/rows'
import { en } from '../../domain/words'

/** "Thornfield GT-48 garden tractor": make, model and what it is, as far as known. */
export function machineName(machine: Pick<Machine, 'make' | 'model' | 'kind'> | undefined): string {
  if (!machine) return en.machine.unnamed
  return [machine.make, machine.model, machine.kind].filter(Boolean).join(' ') || en.machine.unnamed
}

/** "Diagnosis, waits on a yes" in pieces: the stage, then what it waits on. */
export function waitingWords(job: Job): string {
  return en.app.listed(job.waits_on.map((what) => en.waits[what]))
}
