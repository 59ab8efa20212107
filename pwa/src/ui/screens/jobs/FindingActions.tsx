import type { Finding } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { safetyItems } from '../../../domain/words/safetyItems'
import { offeredQuoteFor } from '../../../store/approvalRequests'
import { safetyItemsOf } from '../../../store/findings'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { itemStateText, itemText } from '../../features/safety/itemText'

/** Other actions on a finding: ask the customer for the work, or remove it from the job. */
export function FindingActions({ row, onRemove }: { row: Finding; onRemove: () => void }) {
  const asked = offeredQuoteFor(row)
  const { id, job_id } = row
  const items = safetyItemsOf(id)
  return (
    <>
      {items.length > 0 && (
        <Section title={safetyItems.title}>
          <List items={items} keyOf={(item) => item.id} empty="">
            {(item) => (
              <ListItem
                to={{ at: 'safety-item', id: item.id }}
                title={itemText(item)}
                details={itemStateText(item)}
              />
            )}
          </List>
        </Section>
      )}
      <ButtonRow stacked>
        {asked ? (
          <Button wide label={en.asking.asked} to={{ at: 'quote', id: asked }} />
        ) : (
          <Button wide label={en.asking.more} hint={en.asking.moreHint} to={{ at: 'finding-ask', id }} />
        )}
        <Button wide label={en.finding.addPart} to={{ at: 'new-part', id: job_id, findingId: id }} />
        {row.rank === 'safety' && (
          <>
            <Button wide label={en.safety.knows} to={{ at: 'finding-acknowledge', id }} />
            <Button wide label={safetyItems.add} to={{ at: 'job-safety-item', id: job_id, findingId: id }} />
          </>
        )}
        {!items.length && <Button wide label={en.finding.remove} onPress={onRemove} />}
      </ButtonRow>
    </>
  )
}
