import type { SafetyItem } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { safetyItems as t } from '../../../domain/words/safetyItems'
import { acknowledgementsOf } from '../../../store/findings'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { memberName } from '../../names'
import { format } from '../../shopFormat'

/** When the device was tried, and what was seen. */
export function Trials({ row: { trials } }: { row: SafetyItem }) {
  if (!trials.length) return null
  return (
    <Section title={t.trials}>
      <List items={trials} keyOf={({ tried_at, works }) => `${tried_at} ${works}`} empty="">
        {({ works, tries, seen, tried_at, member_id }) => (
          <ListItem
            title={t.trial(works, tries)}
            details={
              <span class="multiline">
                {[
                  seen,
                  t.foundBy(member_id ? memberName(member_id) : '', format.value.moment(tried_at)),
                ].join('\n')}
              </span>
            }
          />
        )}
      </List>
    </Section>
  )
}

/** Where the part was asked for: the evidence that it cannot be had. */
export function PartSearches({ row: { part_search } }: { row: SafetyItem }) {
  if (!part_search.length) return null
  return (
    <Section title={t.search.heading} end={part_search.length}>
      <List items={part_search} keyOf={({ asked_at, where }) => `${asked_at} ${where}`} empty="">
        {({ where, answer, asked_at, member_id }) => (
          <ListItem
            title={where}
            details={
              <span class="multiline">
                {[
                  answer,
                  t.foundBy(member_id ? memberName(member_id) : '', format.value.moment(asked_at)),
                ].join('\n')}
              </span>
            }
          />
        )}
      </List>
    </Section>
  )
}

/** What the customer was told of it, and said. */
export function Disclosures({ row: { id, finding_id } }: { row: SafetyItem }) {
  const found = acknowledgementsOf(finding_id).filter(({ items }) =>
    items.some(({ item_id }) => item_id === id),
  )
  if (!found.length) return null
  return (
    <Section title={en.safety.known}>
      <List items={found} keyOf={(each) => each.id} empty="">
        {({ protection_lost, acknowledged_by_name, how, acknowledged_at, note }) => (
          <ListItem
            title={en.safety.told(
              acknowledged_by_name,
              en.safety.hows[how],
              format.value.moment(acknowledged_at),
            )}
            details={<span class="multiline">{[protection_lost, note].filter(Boolean).join('\n')}</span>}
          />
        )}
      </List>
    </Section>
  )
}
