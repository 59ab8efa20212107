import type { PartArrival, PartOrderLine } from '../../../domain/contract'
import { conditions, answerForm as t } from '../../../domain/words/partOrders'
import { arrivalsOfLine, undoArrival } from '../../../store/partOrders'
import { Button, ButtonRow } from '../../components/Button'
import { List, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { memberName } from '../../names'
import { format } from '../../shopFormat'
import { saveWithToast } from '../../toast'

/** What came of a line; an entry made by mistake is taken out again. */
export function ArrivalsOfLine({ line }: { line: PartOrderLine }) {
  const arrivals = arrivalsOfLine(line.id)
  if (arrivals.length === 0) return null
  return (
    <Section title={t.came} end={arrivals.length}>
      <List items={arrivals} keyOf={({ id }) => id} empty="">
        {(row) => (
          <OpeningItem
            title={`${format.value.number(row.quantity)}, ${conditions[row.condition]}`}
            details={details(row)}
            value={row.cost_minor !== null && format.value.money(row.cost_minor)}
          >
            <ButtonRow>
              <Button label={t.undo} onPress={() => void saveWithToast(() => undoArrival(row), t.undone)} />
            </ButtonRow>
          </OpeningItem>
        )}
      </List>
    </Section>
  )
}

const details = ({ arrived_at, member_id, note }: PartArrival) =>
  [format.value.moment(arrived_at), member_id && memberName(member_id), note].filter(Boolean).join(', ')
