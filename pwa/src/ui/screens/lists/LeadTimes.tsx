import type { Supplier } from '../../../domain/contract'
import { daysFor } from '../../../domain/parts/leadTimes'
import { en } from '../../../domain/words'
import { tables } from '../../../domain/words/desk'
import { leadTimes as t } from '../../../domain/words/dueTables'
import { ownLeadTime } from '../../../store/promises'
import { allOf, follow } from '../../../store/rows/selectors'
import type { TableOf } from '../../desk/table'
import { perRow } from '../../features/tables/perRow'
import { TablePlace } from '../../features/tables/TablePlace'
import { today } from '../../shopFormat'

interface SupplierLine {
  readonly supplier: Supplier
}

function supplierLines(): SupplierLine[] {
  follow('part_order', 'part_order_line', 'part_arrival')
  return allOf('supplier').map((supplier) => ({ supplier }))
}

const own = perRow(({ supplier }: SupplierLine) => ownLeadTime(supplier.id, today()))

/** The days within which a share arrived; nothing while there are too few arrivals to say. */
const within = (share: number) => (line: SupplierLine) => {
  const { known, isEnough } = own(line)
  return isEnough ? daysFor(known, share) : null
}
const noneOf = (line: SupplierLine) => (own(line).isEnough ? t.beyond : t.few)

const LEAD_TIMES: TableOf<SupplierLine> = {
  key: 'lead-times',
  title: t.title,
  rows: supplierLines,
  idOf: ({ supplier }) => supplier.id,
  to: ({ supplier }) => ({ at: 'supplier', id: supplier.id }),
  columns: [
    { key: 'name', label: t.supplier, value: ({ supplier }) => supplier.name, width: 14, bold: true },
    { key: 'half', label: t.half, kind: 'number', value: within(0.5), none: noneOf, width: 7 },
    { key: 'most', label: t.most, kind: 'number', value: within(0.9), none: noneOf, width: 8 },
    { key: 'usual', label: t.usual, kind: 'number', value: ({ supplier }) => supplier.lead_days, width: 8 },
    {
      key: 'arrivals',
      label: t.arrivals,
      kind: 'number',
      value: (line) => own(line).known.arrivals,
      width: 5,
    },
    { key: 'waits', label: t.waits, kind: 'number', value: (line) => own(line).waits, width: 6, spare: true },
  ],
  views: [
    { key: 'active', label: t.active, has: ({ supplier }) => !supplier.archived },
    { key: 'all', label: tables.all, has: () => true },
  ],
  sort: { key: 'name' },
  onPhone: (line) => {
    const [half, most] = [within(0.5)(line), within(0.9)(line)]
    return {
      title: line.supplier.name,
      details: en.app.joined([
        half === null ? `${t.half}: ${noneOf(line)}` : `${t.half} ${half}`,
        most === null ? '' : `${t.most} ${most}`,
      ]),
    }
  },
}

/** How long each supplier takes, in business days, from the shop's own orders. */
export const LeadTimes = () => <TablePlace table={LEAD_TIMES} />
