import type { QuoteLine } from '../../../domain/contract'
import type { WorkDetails } from '../../../domain/labor/clock'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { job, openJobs } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { agreedLabor } from '../../../store/quotes'
import { agreedWork, plainWork } from '../../../store/timeEntries'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { start } from '../../features/clock/Clock'
import { jobText } from '../../features/clock/timeEntryText'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { navigate, type Route } from '../../router'
import { ShopPage } from '../../ShopPage'

const t = en.clock
const ON_A_JOB = ['repair', 'diagnosis', 'travel', 'errand'] as const
const ON_NONE = ['shop', 'errand', 'travel'] as const

/** Starts a clock without a job, or on a job of the list. */
export const ShopWork = () => <ChooseWork jobId={null} />

/** Starts a clock on a job. */
export const JobWork = ({ id }: { id: string }) => <ChooseWork jobId={id} />

/** Kinds of work, the agreed labor of a job, and other jobs as large buttons; one press starts the clock. */
function ChooseWork({ jobId }: { jobId: string | null }) {
  const row = jobId === null ? undefined : job(jobId)
  if (jobId !== null && !row) return <NotFound />
  const back: Route = row ? { at: 'job', id: row.id } : { at: 'today' }

  async function begin(work: WorkDetails) {
    if (await start(work)) navigate(back, { replace: true })
  }
  const kinds = row ? ON_A_JOB : ON_NONE
  const lines = row ? agreedLabor(row.id) : []
  return (
    <ShopPage overline={row ? jobText(row.id) : t.title} title={t.choose} back={back}>
      {lines.length > 0 && (
        <Section title={t.pickLine} hint={t.pickLineHint}>
          <List items={lines} keyOf={(line) => line.id} empty="">
            {(line: QuoteLine) => (
              <ListItem
                title={line.operation || line.words}
                details={line.operation ? line.words : undefined}
                onPress={() => jobId !== null && void begin(agreedWork(line, jobId))}
              />
            )}
          </List>
        </Section>
      )}
      <Section title={row ? t.fields.kind : t.noJob}>
        <ButtonRow stacked>
          {kinds.map((kind) => (
            <Button
              key={kind}
              wide
              label={t.kinds[kind]}
              hint={t.kindHints[kind]}
              onPress={() => void begin(plainWork(kind, row ? row.id : null))}
            />
          ))}
          {row && (
            <Button
              wide
              label={t.kinds.rework}
              hint={t.kindHints.rework}
              to={{ at: 'job-rework', id: row.id }}
            />
          )}
        </ButtonRow>
      </Section>
      {!row && <OtherJobs />}
    </ShopPage>
  )
}

function OtherJobs() {
  return (
    <Section title={t.pickJob}>
      <List items={openJobs.value} keyOf={(each) => each.id} empty={en.today.nothing}>
        {(each) => (
          <ListItem
            to={{ at: 'job-clock', id: each.id }}
            title={customer(each.customer_id)?.name || en.app.noName}
            value={each.number ?? each.mark}
            details={machineName(machine(each.machine_id))}
          />
        )}
      </List>
    </Section>
  )
}
