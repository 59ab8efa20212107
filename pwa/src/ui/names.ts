import type { Job, Machine } from '../domain/contract'
import { en } from '../domain/words'
import { members } from '../store/shop'
import { pageWords } from './readerLanguage'

/** "Thornfield GT-48 garden tractor": make, model and what it is, as far as known. */
export function machineName(machine: Pick<Machine, 'make' | 'model' | 'kind'> | undefined): string {
  if (!machine) return pageWords.value.unnamedMachine
  return (
    [machine.make, machine.model, machine.kind].filter(Boolean).join(' ') || pageWords.value.unnamedMachine
  )
}

/** "Thornfield GT-48": make and model alone, where the kind of machine has a place of its own. */
export const modelName = (machine: Pick<Machine, 'make' | 'model' | 'kind'> | undefined): string =>
  [machine?.make, machine?.model].filter(Boolean).join(' ') || machineName(machine)

/** What a job waits on, listed: "approval, parts". */
export function waitingText(job: Job): string {
  return en.app.listed(job.waits_on.map((what) => en.waits[what]))
}

export function memberName(id: string): string {
  return members.value.find((member) => member.id === id)?.name ?? en.app.noName
}
