import type { QuoteLine } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { job } from '../../../store/jobs'
import { agreedLabor } from '../../../store/quotes'
import { agreedWork, recentWork } from '../../../store/timeEntries'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { jobText } from '../../features/clock/timeEntryText'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { begin, WorkKinds } from './WorkKinds'

const t = en.clock

/** Starts a clock on a job: its agreed labor, what was last clocked first, then the kinds of work. */
export function JobWork({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const order = recentWork().map(({ work }) => work.line_id)
  const place = (line: QuoteLine) => order.indexOf(line.id) + 1 || order.length + 1
  const lines = agreedLabor(id).sort((a, b) => place(a) - place(b))
  return (
    <ShopPage overline={jobText(id)} title={t.choose} back={{ at: 'job', id }}>
      {lines.length > 0 && (
        <Section title={t.pickLine} hint={t.pickLineHint}>
          <List items={lines} keyOf={(line) => line.id} empty="">
            {(line: QuoteLine) => (
              <ListItem
                title={line.operation || line.words}
                details={line.operation ? line.words : undefined}
                onPress={() => void begin(agreedWork(line, id))}
              />
            )}
          </List>
        </Section>
      )}
      <Section title={t.fields.kind}>
        <WorkKinds jobId={id} />
      </Section>
    </ShopPage>
  )
}
