import type { Job } from '../../../domain/contract'
import { geoLink, positionOf, smsLink, telLink } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { customer, site } from '../../../store/customers'
import { moneyOfJob } from '../../../store/payments'
import { permissions } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { jobFigures } from '../../features/jobs/jobFigures'
import { moneyFigures } from '../../features/payments/moneyFigures'
import { waitingText } from '../../names'
import { format } from '../../shopFormat'
import { useNow } from '../../useNow'

const t = en.job

const STAGES: readonly Job['stage'][] = ['intake', 'diagnosis', 'repair', 'testing', 'ready', 'returned']

/** Where the job stands: its stage, what it waits on, the day it is due, and how far that is. */
export function JobStage({ job }: { job: Job }) {
  const waits = waitingText(job)
  const at = STAGES.indexOf(job.stage)
  return (
    <div class="job-stage">
      <p>
        <b>{en.stages[job.stage]}</b>
        {waits && <span> {waits}</span>}
        {/* A row that an earlier version of the app stored has no urgency. */}
        {(job.urgency ?? 'usual') !== 'usual' && <b class="due"> {en.urgencies[job.urgency]}</b>}
        {job.promised_on && <span class="due"> {t.due(format.value.weekday(job.promised_on))}</span>}
      </p>
      {at >= 0 && (
        <ol class="stage-bar" aria-hidden="true">
          {STAGES.map((stage, index) => (
            <li key={stage} class={index < at ? 'done' : index === at ? 'now' : undefined} />
          ))}
        </ol>
      )}
    </div>
  )
}

/** What was approved, with tax, and the hours clocked against those quoted; nothing before the first approval. */
export function JobFigures({ job }: { job: Job }) {
  const found = jobFigures(job.id, useNow())
  if (!found) return null
  const { approved, clocked, quoted } = found
  // Once there is money, the row of money has it.
  const alone = moneyFigures(moneyOfJob(job.id)).length === 0
  const figures = [
    ...(alone ? [[en.agreed.agreed, format.value.money(approved)] as const] : []),
    [t.clocked, en.clockFace.running(clocked)],
    [quoted >= clocked ? t.hoursLeft : t.hoursOver, en.clockFace.running(Math.abs(quoted - clocked))],
  ] as const
  return (
    <dl class="figures">
      {figures.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  )
}

/** Who to call, and the way there. */
export function JobPerson({ job }: { job: Job }) {
  const row = customer(job.customer_id)
  const place = job.site_id === null ? undefined : site(job.site_id)
  const position = positionOf(place)
  const address = place?.address || row?.address
  if (!row) return null
  return (
    <div class="person">
      {(row.person || address || row.contact_by) && (
        <p>
          {row.person && <b>{row.person}</b>}
          {address && <span>{address.split('\n')[0]}</span>}
          {row.contact_by && <span>{en.intake.prefers(en.contactWishes[row.contact_by])}</span>}
        </p>
      )}
      <ButtonRow>
        {row.phone && (
          <Button
            label={t.call}
            ariaLabel={t.callName(row.name)}
            href={telLink(row.phone)}
            shortcut="job.call"
          />
        )}
        {row.second_phone && (
          <Button
            label={t.callSecond}
            ariaLabel={t.callSecondName(row.name)}
            href={telLink(row.second_phone)}
          />
        )}
        {row.phone && permissions.value.has('message') && (
          <Button
            label={t.text}
            href={smsLink(row.phone, en.messages.log.hello(shop.value?.name ?? ''))}
            shortcut="job.text"
          />
        )}
        {position && <Button label={t.directions} href={geoLink(position)} shortcut="job.directions" />}
      </ButtonRow>
    </div>
  )
}
