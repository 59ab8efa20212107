import type { Finding, Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { openSafetyOf, whyOpen } from '../../../store/findings'
import { List, ListItem } from '../../components/List'
import { Caution, Section } from '../../components/Section'
import { itemsLeft, itemText } from '../../features/safety/itemText'

const t = en.safety
const BEFORE_READY: ReadonlySet<Job['stage']> = new Set(['intake', 'diagnosis', 'repair', 'testing'])

/** The safety findings and devices that keep a job from being ready; each leads to its ways out. */
export function OpenSafety({ job }: { job: Job }) {
  const found = BEFORE_READY.has(job.stage) ? openSafetyOf(job.id) : []
  if (!found.length) return null
  return (
    <Section title={t.title}>
      <Caution text={t.hint} />
      <List items={found} keyOf={({ id }) => id} empty="">
        {(finding) => <OpenFinding finding={finding} />}
      </List>
    </Section>
  )
}

/** An open finding, or its safety devices where it has some. */
function OpenFinding({ finding }: { finding: Finding }) {
  const why = t.open[whyOpen(finding) ?? 'undecided']
  const items = itemsLeft(finding.id)
  if (!items.length)
    return <ListItem to={{ at: 'finding', id: finding.id }} title={finding.words} details={why} />
  return items.map((item) => (
    <ListItem
      key={item.id}
      to={{ at: 'safety-item', id: item.id }}
      title={items.length > 1 ? itemText(item) : finding.words}
      details={why}
    />
  ))
}
