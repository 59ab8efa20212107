import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { openSafetyOf, whyOpen } from '../../../store/jobs'
import { List, ListItem } from '../../components/List'
import { Caution, Section } from '../../components/Section'

const t = en.safety
const BEFORE_READY: ReadonlySet<Job['stage']> = new Set(['intake', 'diagnosis', 'repair', 'testing'])

/** The safety findings that keep a job from being ready; each leads to its ways out. */
export function OpenSafety({ job }: { job: Job }) {
  const found = BEFORE_READY.has(job.stage) ? openSafetyOf(job.id) : []
  if (!found.length) return null
  return (
    <Section title={t.title}>
      <Caution text={t.hint} />
      <List items={found} keyOf={({ id }) => id} empty="">
        {(finding) => (
          <ListItem
            to={{ at: 'finding', id: finding.id }}
            title={finding.words}
            details={t.open[whyOpen(finding) ?? 'undecided']}
          />
        )}
      </List>
    </Section>
  )
}
