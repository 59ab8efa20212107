import { useComputed } from '@preact/signals'
import { waits as t } from '../../../domain/words/waits'
import { List, ListItem, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { today } from '../../shopFormat'
import { DueDetails } from '../messages/FollowUpsDue'
import { columnOf, daysWaiting, type Wait, type WaitsOn, whatWaits } from './waits'

const COLUMNS = Object.keys(t.columns) as WaitsOn[]

/** What waits on customers, on us and on others, side by side; an item with a follow-up opens to what can be done. */
export function WaitColumns() {
  const all = useComputed(whatWaits)
  return (
    <div class="desk-columns">
      {COLUMNS.map((on) => {
        const rows = columnOf(all.value, on)
        return (
          <Section key={on} title={t.columns[on]} end={rows.length}>
            <List items={rows} keyOf={({ id }) => id} empty={t.none[on]}>
              {(wait) => <WaitRow wait={wait} />}
            </List>
          </Section>
        )
      })}
    </div>
  )
}

function WaitRow({ wait }: { wait: Wait }) {
  const days = daysWaiting(wait, today())
  const line = {
    title: wait.who,
    value: days === null ? undefined : wait.late ? t.late(days) : t.days(days),
    details: (
      <>
        {wait.why} {wait.mark !== undefined && <Serial text={wait.mark} />}
      </>
    ),
  }
  if (wait.followUp)
    return (
      <OpeningItem {...line}>
        <DueDetails row={wait.followUp} />
      </OpeningItem>
    )
  return <ListItem {...line} {...(wait.to && { to: wait.to })} />
}
