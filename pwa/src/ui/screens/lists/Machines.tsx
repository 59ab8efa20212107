import type { Machine } from '../../../domain/contract'
import { shortCode } from '../../../domain/machines/machineText'
import { en } from '../../../domain/words'
import { tables } from '../../../domain/words/desk'
import { customer } from '../../../store/customers'
import { isFinished, jobsOfMachine } from '../../../store/jobs'
import { lastMeter } from '../../../store/machines'
import { allOf, follow } from '../../../store/rows/selectors'
import type { TableOf } from '../../desk/table'
import { perRow } from '../../features/tables/perRow'
import { TablePlace } from '../../features/tables/TablePlace'
import { machineName } from '../../names'

const t = tables.machines

interface MachineLine {
  readonly machine: Machine
  readonly customer: string
}

function machineLines(): MachineLine[] {
  follow('job', 'meter_reading')
  return allOf('machine').map((machine) => ({
    machine,
    customer: customer(machine.customer_id)?.name || en.app.noName,
  }))
}

const openJobs = perRow(
  ({ machine }: MachineLine) => jobsOfMachine(machine.id).filter((job) => !isFinished(job)).length,
)
const hours = perRow(({ machine }: MachineLine) => {
  const reading = lastMeter(machine.id)
  return reading ? Number(reading.hours) : null
})

const MACHINES: TableOf<MachineLine> = {
  key: 'machines',
  title: en.find.machines,
  rows: machineLines,
  idOf: ({ machine }) => machine.id,
  to: ({ machine }) => ({ at: 'machine', id: machine.id }),
  columns: [
    {
      key: 'name',
      label: tables.jobs.machine,
      value: ({ machine }) => machineName(machine),
      width: 15,
      bold: true,
    },
    { key: 'customer', label: tables.jobs.customer, value: (line) => line.customer, width: 12 },
    { key: 'serial', label: t.serial, value: ({ machine }) => machine.serial, width: 9 },
    {
      key: 'engine',
      label: t.engine,
      value: ({ machine }) => [machine.engine_make, machine.engine_model].filter(Boolean).join(' '),
      width: 10,
      hidden: true,
    },
    // As text: a year has no mark of thousands.
    {
      key: 'year',
      label: t.year,
      value: ({ machine }) => machine.year?.toString() ?? null,
      width: 4,
      spare: true,
    },
    { key: 'hours', label: t.hours, kind: 'number', value: hours, width: 6, spare: true },
    { key: 'open', label: t.openJobs, kind: 'number', value: (line) => openJobs(line) || null, width: 5.5 },
    {
      key: 'tag',
      label: t.tag,
      value: ({ machine }) => machine.tag || shortCode(machine.id),
      width: 7,
      hidden: true,
    },
    {
      key: 'notes',
      label: tables.jobs.notes,
      value: ({ machine }) => machine.notes,
      width: 14,
      hidden: true,
    },
  ],
  views: [
    { key: 'all', label: tables.all, has: ({ machine }) => !machine.archived },
    { key: 'open', label: t.here, has: (line) => openJobs(line) > 0 },
    { key: 'archived', label: tables.archived, has: ({ machine }) => machine.archived },
  ],
  sort: { key: 'name' },
  onPhone: ({ machine, customer: details }) => ({ title: machineName(machine), details }),
}

/** All machines. */
export const Machines = () => <TablePlace table={MACHINES} />
