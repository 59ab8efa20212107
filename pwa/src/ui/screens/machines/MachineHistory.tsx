import type { Job } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { findingsOf } from '../../../store/findings'
import { complaintsOf, jobsOfMachine } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { decidedQuotes, linesOf } from '../../../store/quotes'
import { timeOf } from '../../../store/timeEntries'
import { Button, ButtonRow } from '../../components/Button'
import { List } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { minutesOf } from '../../features/clock/timeEntryText'
import { NotFound } from '../../NotFound'
import { machineName, memberName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { dayOf, format } from '../../shopFormat'
import { useNow } from '../../useNow'

const t = en.machineHistory

/** What was wrong with a machine at each job, what was done, how long it took and who did it; the last job first. */
export function MachineHistory({ id }: { id: string }) {
  const row = machine(id)
  if (!row) return <NotFound />
  const jobs = jobsOfMachine(id)
  return (
    <ShopPage
      overline={machineName(row)}
      title={t.title}
      subtitle={row.serial && <Serial text={row.serial} />}
      back={{ at: 'machine', id }}
    >
      {!jobs.length && (
        <List items={[]} keyOf={String} empty={en.machine.noJobs}>
          {() => null}
        </List>
      )}
      {jobs.map((job) => (
        <PastJob key={job.id} row={job} />
      ))}
    </ShopPage>
  )
}

function PastJob({ row }: { row: Job }) {
  const now = useNow()
  const entries = timeOf(row.id)
  const minutes = entries.reduce((sum, entry) => sum + minutesOf(entry, now), 0)
  const who = [...new Set(entries.map(({ member_id }) => memberName(member_id)))]
  const lines = decidedQuotes(row.id).flatMap((quote) => linesOf(quote.id))
  const wordsOf = (decided: 'accepted' | 'declined') =>
    lines
      .filter((line) => line.decided === decided && (line.kind === 'labor' || line.kind === 'part'))
      .map(({ words }) => words)
  return (
    <Section title={format.value.day(dayOf(row.opened_at))} end={en.stages[row.stage]}>
      <DescriptionList
        items={[
          [t.wrong, listed(complaintsOf(row.id).map(({ words }) => words))],
          [t.found, listed(findingsOf(row.id).map(({ words }) => words))],
          [
            row.stage === 'returned' || row.stage === 'closed' ? t.done : t.approved,
            listed(wordsOf('accepted')),
          ],
          [t.declined, listed(wordsOf('declined'))],
          [t.hours, minutes > 0 && en.clockFace.running(minutes)],
          [t.who, en.app.listed(who)],
        ]}
      />
      <ButtonRow>
        <Button
          label={
            <>
              {t.open} <Serial text={shownName(row)} />
            </>
          }
          to={{ at: 'job', id: row.id }}
        />
      </ButtonRow>
    </Section>
  )
}

/** One a line; nothing where there is none. */
const listed = (texts: readonly string[]) => [...new Set(texts)].join('\n')
