import type { Reading } from '../../../domain/contract'
import { List, ListItem } from '../../components/List'
import { dayOf, format } from '../../shopFormat'
import { valueText } from './readingText'
import { VerdictMark } from './VerdictView'

/** Readings with their verdicts, in the order given; each leads to its own screen. */
export function ReadingList({ readings }: { readings: readonly Reading[] }) {
  return (
    <List items={readings} keyOf={({ id }) => id} empty="" most={8}>
      {(row) => (
        <ListItem
          to={{ at: 'reading', id: row.id }}
          title={valueText(row)}
          details={[row.what, row.place, format.value.day(dayOf(row.taken_at))].filter(Boolean).join(', ')}
          value={<VerdictMark verdict={row.verdict} />}
        />
      )}
    </List>
  )
}
