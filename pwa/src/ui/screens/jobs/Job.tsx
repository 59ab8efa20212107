import type { Job as JobRow } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { customer, site } from '../../../store/customers'
import { complaintsOf, findingsOf, job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { quotesOf } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Badge, Caution, DescriptionList, Section } from '../../components/Section'
import { JobRequests } from '../../features/approval/ApprovalRequests'
import { Clock } from '../../features/clock/Clock'
import { JobStops } from '../../features/dispatch/JobStops'
import { Messages } from '../../features/messages/Messages'
import { PictureStrip, Pictures } from '../../features/pictures/Pictures'
import { AgreedTotal } from '../../features/quotes/AgreedTotal'
import { JobQuotes } from '../../features/quotes/JobQuotes'
import { NotFound } from '../../NotFound'
import { machineName, waitingText } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { DeclinedBefore } from './DeclinedBefore'
import { JobDock } from './JobDock'
import { OpenSafety } from './OpenSafety'

const t = en.job

/** Stages in which somebody works on the machine. */
const AT_WORK = new Set(['diagnosis', 'repair', 'testing'])

export function Job({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const customerRow = customer(row.customer_id)
  const waits = waitingText(row)
  return (
    <ShopPage
      overline={t.title}
      title={customerRow?.name || en.app.noName}
      subtitle={machineName(machine(row.machine_id))}
      badge={<Badge text={shownName(row)} {...(row.number === null && { small: t.numberLater })} />}
      dock={<JobDock job={row} />}
    >
      <div class="job-stage">
        <p>
          <b>{en.stages[row.stage]}</b>
          {waits && <span> {waits}</span>}
        </p>
        <Button label={t.move} to={{ at: 'job-stage', id }} />
      </div>
      <OpenSafety job={row} />
      <Clock jobId={id} />
      {AT_WORK.has(row.stage) && <Caution text={t.caution} />}
      <Complaints id={id} />
      <Findings id={id} />
      <Pictures about_kind="job" about_id={id} />
      <DeclinedBefore job={row} />
      <AgreedTotal job={row} />
      <JobRequests jobId={id} />
      <JobQuotes job={row} />
      <JobStops job={row} />
      <Messages
        kind="job"
        ids={[id, ...quotesOf(id).map((quote) => quote.id)]}
        recipient={customerRow}
        text={
          row.stage === 'ready'
            ? en.messages.log.machineReady(shop.value?.name ?? '', machineName(machine(row.machine_id)))
            : en.messages.log.hello(shop.value?.name ?? '')
        }
      />
      <JobFacts row={row} />
    </ShopPage>
  )
}

function Complaints({ id }: { id: string }) {
  return (
    <Section title={t.complaints}>
      <List items={complaintsOf(id)} keyOf={(complaint) => complaint.id} empty={t.noComplaints}>
        {(complaint) => <ListItem title={complaint.words} details={complaint.happens_when} />}
      </List>
      <ButtonRow stacked>
        <Button wide label={t.addComplaint} to={{ at: 'job-complaint', id }} />
      </ButtonRow>
    </Section>
  )
}

function Findings({ id }: { id: string }) {
  return (
    <Section title={t.findings}>
      <List items={findingsOf(id)} keyOf={(finding) => finding.id} empty={t.noFindings}>
        {(finding) => (
          <>
            <ListItem
              to={{ at: 'finding', id: finding.id }}
              title={finding.words}
              value={en.ranks[finding.rank]}
              details={[finding.consequence, en.decisions[finding.decided]].filter(Boolean).join(' · ')}
            />
            <PictureStrip about_kind="finding" about_id={finding.id} />
          </>
        )}
      </List>
      <ButtonRow stacked>
        <Button wide label={t.addFinding} to={{ at: 'job-finding', id }} />
      </ButtonRow>
    </Section>
  )
}

/** Customer, machine and appointments of the job. */
function JobFacts({ row }: { row: JobRow }) {
  const customerRow = customer(row.customer_id)
  const place = row.site_id && site(row.site_id)
  return (
    <Section title={t.about}>
      <ListItem
        title={customerRow?.name || en.app.noName}
        details={customerRow?.phone}
        to={{ at: 'customer', id: row.customer_id }}
      />
      <ListItem
        title={machineName(machine(row.machine_id))}
        details={machine(row.machine_id)?.serial}
        to={{ at: 'machine', id: row.machine_id }}
      />
      <DescriptionList
        items={[
          [t.opened, format.value.day(row.opened_at.slice(0, 10))],
          [t.fields.promised, row.promised_on && format.value.weekday(row.promised_on)],
          [t.fields.site, place ? [place.label, place.access_notes].filter(Boolean).join('\n') : t.atShop],
          [t.notes, row.notes],
        ]}
      />
      <ButtonRow stacked>
        <Button wide label={t.edit} to={{ at: 'job-edit', id: row.id }} />
      </ButtonRow>
    </Section>
  )
}
