import type { Customer } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { tables } from '../../../domain/words/desk'
import { isFinished, jobsOfCustomer } from '../../../store/jobs'
import { machinesOf } from '../../../store/machines'
import { allOf, follow } from '../../../store/rows/selectors'
import type { TableOf } from '../../desk/table'
import { perRow } from '../../features/tables/perRow'
import { TablePlace } from '../../features/tables/TablePlace'
import { dayOf } from '../../shopFormat'

const t = tables.customers

interface CustomerLine {
  readonly customer: Customer
}

function customerLines(): CustomerLine[] {
  follow('job', 'machine')
  return allOf('customer').map((customer) => ({ customer }))
}

const jobs = perRow(({ customer }: CustomerLine) => {
  const all = jobsOfCustomer(customer.id)
  return {
    open: all.filter((job) => !isFinished(job)).length,
    last: all[0] ? dayOf(all[0].opened_at) : null,
    machines: machinesOf(customer.id).length,
  }
})

/** Nothing where there is none: a column of zeros hides the figures. */
const orNone = (count: number) => count || null

const CUSTOMERS: TableOf<CustomerLine> = {
  key: 'customers',
  title: en.find.customers,
  rows: customerLines,
  idOf: ({ customer }) => customer.id,
  to: ({ customer }) => ({ at: 'customer', id: customer.id }),
  columns: [
    {
      key: 'name',
      label: t.name,
      value: ({ customer }) => customer.name || en.app.noName,
      width: 12,
      bold: true,
    },
    { key: 'person', label: t.person, value: ({ customer }) => customer.person, width: 9, hidden: true },
    { key: 'phone', label: t.phone, value: ({ customer }) => customer.phone, width: 9.5 },
    {
      key: 'second-phone',
      label: en.customer.fields.secondPhone,
      value: ({ customer }) => customer.second_phone,
      width: 9.5,
      hidden: true,
    },
    { key: 'email', label: t.email, value: ({ customer }) => customer.email, width: 13, hidden: true },
    {
      key: 'address',
      label: t.address,
      value: ({ customer }) => customer.address.split('\n').filter(Boolean).join(', '),
      width: 15,
    },
    {
      key: 'machines',
      label: t.machines,
      kind: 'number',
      value: (line) => orNone(jobs(line).machines),
      width: 5.5,
      spare: true,
    },
    { key: 'open', label: t.openJobs, kind: 'number', value: (line) => orNone(jobs(line).open), width: 5.5 },
    { key: 'last', label: t.lastJob, kind: 'day', value: (line) => jobs(line).last, width: 7, spare: true },
    {
      key: 'exempt',
      label: t.exempt,
      value: ({ customer }) => (customer.tax_exempt ? customer.exempt_reason || t.yes : ''),
      width: 8,
      hidden: true,
    },
    { key: 'notes', label: t.notes, value: ({ customer }) => customer.notes, width: 14, hidden: true },
  ],
  views: [
    { key: 'all', label: tables.all, has: ({ customer }) => !customer.archived },
    { key: 'open', label: t.withJobs, has: (line) => jobs(line).open > 0 },
    { key: 'exempt', label: t.exempt, has: ({ customer }) => customer.tax_exempt && !customer.archived },
    { key: 'archived', label: tables.archived, has: ({ customer }) => customer.archived },
  ],
  sort: { key: 'name' },
  onPhone: ({ customer }) => ({ title: customer.name || en.app.noName, details: customer.phone }),
}

/** All customers. */
export const Customers = () => <TablePlace table={CUSTOMERS} />
