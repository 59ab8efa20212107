// The phone's side of test_checks.py: one row a line on standard input, its faults a line on output.
import { createInterface } from 'node:readline'
import './sources.mts'

const { faultsOfMachine } = await import('../../pwa/src/domain/machines/machineFaults.ts')
const { faultsOfRig, faultsOfYard } = await import('../../pwa/src/domain/dispatch/rigFaults.ts')
const { faultsOfStop } = await import('../../pwa/src/domain/dispatch/stopFaults.ts')

const CHECKS: Record<string, (row: any) => { field: string; code: string }[]> = {
  rig: faultsOfRig,
  yard: faultsOfYard,
  stop: faultsOfStop,
  machine: faultsOfMachine,
}

for await (const line of createInterface({ input: process.stdin })) {
  const { of, row } = JSON.parse(line)
  const found = CHECKS[of]?.(row) ?? []
  console.log(JSON.stringify(found.map(({ field, code }) => [field, code]).sort()))
}
