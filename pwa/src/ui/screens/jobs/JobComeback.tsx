import type { Job } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { comebacks as t } from '../../../domain/words/comebacks'
import { en } from '../../../domain/words/index'
import { comebacksOf, costOfComeback, doneJobs, jobsBehind, setComeback } from '../../../store/comebacks'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { hoursText } from '../../features/reports/week'
import { dayOf, format } from '../../shopFormat'
import { showToast } from '../../toast'
import { useSaveOnce } from '../../useSaveOnce'

/** Of which job a job is a comeback, with what that cost, or the offer to say so; and what came back of it. */
export function JobComeback({ job }: { job: Job }) {
  const back = comebacksOf(job.id)
  return (
    <>
      {jobsBehind(job).length > 0 ? <Behind job={job} /> : <Offer job={job} />}
      {back.length > 0 && (
        <Section title={t.back} end={back.length}>
          {back.map((each) => (
            <LinkedJob key={each.id} job={each} />
          ))}
        </Section>
      )}
    </>
  )
}

function LinkedJob({ job }: { job: Job }) {
  return (
    <ListItem
      to={{ at: 'job', id: job.id }}
      title={en.app.joined([en.job.title, shownName(job)])}
      value={format.value.day(dayOf(job.opened_at))}
      details={en.stages[job.stage]}
    />
  )
}

/** The last finished jobs of the machine, each one tap away from being the first job. */
function Offer({ job }: { job: Job }) {
  const { save } = useSaveOnce()
  const earlier = job.stage === 'cancelled' ? [] : doneJobs(job.machine_id, job)
  if (!earlier.length) return null
  const link = (first: Job) =>
    void save(
      () => setComeback(job, first.id),
      () => showToast(t.of(shownName(first)), () => setComeback({ ...job, comeback_of_id: first.id }, null)),
    )
  return (
    <ButtonRow stacked>
      {earlier.map((first) => (
        <Button
          key={first.id}
          wide
          label={t.of(shownName(first))}
          hint={t.doneOn(format.value.day(dayOf(first.opened_at)))}
          onPress={() => link(first)}
        />
      ))}
    </ButtonRow>
  )
}

function Behind({ job }: { job: Job }) {
  const { save } = useSaveOnce()
  const behind = jobsBehind(job)
  const unlink = () =>
    void save(
      () => setComeback(job, null),
      () => showToast(t.unlinked, () => setComeback({ ...job, comeback_of_id: null }, job.comeback_of_id)),
    )
  return (
    <Section title={t.of(behind[0] ? shownName(behind[0]) : '')}>
      {behind.map((each) => (
        <LinkedJob key={each.id} job={each} />
      ))}
      {permissions.value.has('see_cost') && <Cost job={job} />}
      <ButtonRow stacked>
        <Button wide label={t.unlink} onPress={unlink} />
      </ButtonRow>
    </Section>
  )
}

/** What the comeback has cost so far and what of it was not billed. */
function Cost({ job }: { job: Job }) {
  const { money } = format.value
  const cost = costOfComeback(job)
  if (!cost.seconds && !cost.parts_minor && !cost.unknownCosts) return null
  return (
    <>
      <h3>{t.cost}</h3>
      <DescriptionList
        items={[
          [t.hours, cost.seconds > 0 && hoursText(cost.seconds)],
          [t.labor, cost.labor !== null && money(cost.labor)],
          [t.parts, money(cost.parts_minor)],
          [t.billed, cost.billed_minor !== 0 && money(cost.billed_minor)],
          [t.unbilled, cost.unbilled !== null && money(cost.unbilled)],
        ]}
      />
      {cost.unknownCosts > 0 && <p class="hint">{t.unknownCosts(cost.unknownCosts)}</p>}
      {cost.hour_minor === null && <p class="hint">{t.hourUnknown}</p>}
    </>
  )
}
