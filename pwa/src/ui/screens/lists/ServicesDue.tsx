import type { Machine } from '../../../domain/contract'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { tables } from '../../../domain/words/desk'
import { servicesDue as t } from '../../../domain/words/dueTables'
import { customer } from '../../../store/customers'
import { follow } from '../../../store/rows/selectors'
import { allServices, type MachineService, nextSeason } from '../../../store/services'
import { shop } from '../../../store/shop'
import type { TableOf } from '../../desk/table'
import { TablePlace } from '../../features/tables/TablePlace'
import { machineName } from '../../names'
import { format, today } from '../../shopFormat'

interface ServiceLine {
  readonly machine: Machine
  readonly service: MachineService
  readonly customer: string
}

function serviceLines(): ServiceLine[] {
  follow('customer', 'machine', 'meter_reading', 'service_record', 'sheet', 'sheet_entry')
  return allServices(nextSeason(shop.value, today())).map(({ machine, service }) => ({
    machine,
    service,
    customer: customer(machine.customer_id)?.name || en.app.noName,
  }))
}

const dueOn = ({ service }: ServiceLine) => service.forecast?.due_on ?? null
const isDue = (line: ServiceLine) => (dueOn(line) ?? '9999') <= today()
const percent = ({ service }: ServiceLine) => {
  const chance = service.forecast?.chance ?? null
  return chance === null ? null : format.value.percent(String(Math.round(chance * 100)))
}

const SERVICES: TableOf<ServiceLine> = {
  key: 'services-due',
  title: t.title,
  rows: serviceLines,
  idOf: ({ machine, service }) => `${machine.id} ${service.entry.id}`,
  to: ({ machine, service }) => ({ at: 'machine-service', id: machine.id, entryId: service.entry.id }),
  columns: [
    { key: 'machine', label: t.machine, value: ({ machine }) => machineName(machine), width: 13, bold: true },
    { key: 'customer', label: t.customer, value: (line) => line.customer, width: 11 },
    { key: 'service', label: t.service, value: ({ service }) => service.entry.words, width: 12 },
    {
      key: 'due',
      label: t.due,
      kind: 'day',
      value: dueOn,
      none: ({ service }) => (service.last ? t.unknown : t.never),
      note: (line) => (isDue(line) ? t.now : ''),
      rank: (line) => Date.parse(dueOn(line) ?? '9999-12-31'),
      width: 9,
    },
    {
      key: 'last',
      label: t.last,
      kind: 'day',
      value: ({ service }) => service.last?.done_on ?? null,
      width: 7,
    },
    {
      key: 'used',
      label: t.used,
      kind: 'number',
      value: ({ service }) => {
        const used = service.forecast?.used ?? null
        return used === null ? null : Math.round(used)
      },
      width: 6,
      spare: true,
    },
    { key: 'chance', label: t.chance, value: percent, width: 6, spare: true },
  ],
  views: [
    { key: 'due', label: t.dueView, has: isDue },
    { key: 'soon', label: t.soon, has: (line) => (dueOn(line) ?? '9999') <= daysAfter(today(), 60) },
    { key: 'never', label: t.never_, has: ({ service }) => !service.last },
    { key: 'all', label: tables.all, has: () => true },
  ],
  sort: { key: 'due' },
  onPhone: (line) => ({
    title: machineName(line.machine),
    details: en.app.joined([line.service.entry.words, line.customer]),
    value: isDue(line) ? t.now : '',
  }),
}

/** The services of all machines by the day on which they are due. */
export const ServicesDue = () => <TablePlace table={SERVICES} />
