import { shownName } from '../../../domain/marks'
import { en } from '../../../domain/words'
import { customer, site } from '../../../store/customers'
import { complaintsOf, findingsOf, job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { quotesOf } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { Caution, Facts, Part, Plate } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { figures } from '../../shopFigures'
import { JobRequests } from '../asking/Requests'
import { Clock } from '../clock/Clock'
import { JobStops } from '../dispatch/JobStops'
import { Messages } from '../messages/Messages'
import { Nowhere } from '../Nowhere'
import { machineName, waitingWords } from '../names'
import { Pictures } from '../pictures/Pictures'
import { Agreed } from '../quotes/Agreed'
import { JobQuotes } from '../quotes/JobQuotes'
import { Sheet } from '../Sheet'
import { DeclinedBefore } from './DeclinedBefore'
import { JobDock } from './JobDock'

const its = en.job

/** Stages in which someone has hands on the machine. */
const AT_WORK = new Set(['diagnosis', 'repair', 'proving'])

export function Job({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <Nowhere />
  const owner = customer(row.customer_id)
  const place = row.site_id && site(row.site_id)
  const waits = waitingWords(row)
  return (
    <Sheet
      over={its.title}
      title={owner?.name || en.app.noName}
      under={machineName(machine(row.machine_id))}
      plate={<Plate words={shownName(row)} {...(row.number === null && { small: its.numberLater })} />}
      back={{ at: 'today' }}
      dock={<JobDock job={row} />}
    >
      <div class="stage">
        <p>
          <b>{en.stages[row.stage]}</b>
          {waits && <span> {waits}</span>}
        </p>
        <Key words={its.move} to={{ at: 'job-stage', id }} />
      </div>
      <Clock jobId={id} />
      {AT_WORK.has(row.stage) && <Caution words={its.caution} />}
      <Part title={its.complaints}>
        <Rows items={complaintsOf(id)} keyOf={(complaint) => complaint.id} empty={its.noComplaints}>
          {(complaint) => <Row lead={complaint.words} also={complaint.happens_when} />}
        </Rows>
        <Keys tall>
          <Key wide words={its.addComplaint} to={{ at: 'job-complaint', id }} />
        </Keys>
      </Part>
      <Part title={its.findings}>
        <Rows items={findingsOf(id)} keyOf={(finding) => finding.id} empty={its.noFindings}>
          {(finding) => (
            <Row
              to={{ at: 'finding', id: finding.id }}
              lead={finding.words}
              figure={en.ranks[finding.rank]}
              also={[finding.consequence, en.decisions[finding.decided]].filter(Boolean).join(' · ')}
            />
          )}
        </Rows>
        <Keys tall>
          <Key wide words={its.addFinding} to={{ at: 'job-finding', id }} />
        </Keys>
      </Part>
      <Pictures about_kind="job" about_id={id} />
      <DeclinedBefore job={row} />
      <Agreed job={row} />
      <JobRequests jobId={id} />
      <JobQuotes job={row} />
      <JobStops job={row} />
      <Messages
        kind="job"
        ids={[id, ...quotesOf(id).map((quote) => quote.id)]}
        owner={owner}
        text={
          row.stage === 'ready'
            ? en.messages.log.machineReady(shop.value?.name ?? '', machineName(machine(row.machine_id)))
            : en.messages.log.hello(shop.value?.name ?? '')
        }
      />
      <Part title={its.about}>
        <Row
          lead={owner?.name || en.app.noName}
          also={owner?.phone}
          to={{ at: 'customer', id: row.customer_id }}
        />
        <Row
          lead={machineName(machine(row.machine_id))}
          also={machine(row.machine_id)?.serial}
          to={{ at: 'machine', id: row.machine_id }}
        />
        <Facts
          facts={[
            [its.opened, figures.value.day(row.opened_at.slice(0, 10))],
            [its.fields.promised, row.promised_on && figures.value.weekday(row.promised_on)],
            [
              its.fields.site,
              place ? [place.label, place.access_notes].filter(Boolean).join('\n') : its.atShop,
            ],
            [its.notes, row.notes],
          ]}
        />
        <Keys tall>
          <Key wide words={its.edit} to={{ at: 'job-edit', id }} />
        </Keys>
      </Part>
    </Sheet>
  )
}
