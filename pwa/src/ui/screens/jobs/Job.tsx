import type { JSX } from 'preact'
import type { Job as JobRow } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { findingsOf } from '../../../store/findings'
import { invoicesOf } from '../../../store/invoices'
import { complaintsOf, job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { noticesAbout } from '../../../store/notices'
import { attachmentsAbout } from '../../../store/pictures/attachments'
import { quotesOf } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { READY_NOTICE } from '../../../store/storage'
import { Button, ButtonRow } from '../../components/Button'
import { Columns } from '../../components/Columns'
import { Badge, Caution, Section } from '../../components/Section'
import { JobRequests } from '../../features/approval/ApprovalRequests'
import { BillButton, JobInvoices } from '../../features/billing/JobInvoices'
import { JobStorage } from '../../features/billing/JobStorage'
import { Clock } from '../../features/clock/Clock'
import { Warranty } from '../../features/comebacks/Warranty'
import { hasStops, JobStops } from '../../features/dispatch/JobStops'
import { Messages } from '../../features/messages/Messages'
import { JobMoney } from '../../features/payments/JobMoney'
import { Pictures } from '../../features/pictures/Pictures'
import { AgreedTotal } from '../../features/quotes/AgreedTotal'
import { JobQuotes } from '../../features/quotes/JobQuotes'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { AddButtons } from './AddButtons'
import { ClosingAct } from './ClosingAct'
import { Complaints, Findings } from './ComplaintsAndFindings'
import { DeclinedBefore } from './DeclinedBefore'
import { JobComeback } from './JobComeback'
import { JobFacts } from './JobFacts'
import { JobFigures, JobPerson, JobStage } from './JobHead'
import { JobNextAct } from './JobNextAct'
import { OpenSafety } from './OpenSafety'
import { PartsButton } from './PartsButton'
import { PromiseOffer } from './PromiseOffer'

const t = en.job

/** Stages in which somebody works on the machine. */
const AT_WORK = new Set(['diagnosis', 'repair', 'testing'])
/** Stages in which the work is over: it is billed and paid, and the machine goes home. */
const CLOSING = new Set(['ready', 'returned'])
const NOT_READY = new Set(['intake', ...AT_WORK])

/** A job: where it stands, its money, whom to call, the next act; then what there is, last what can be added. */
export function Job({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const customerRow = customer(row.customer_id)
  const parts = partsOf(row)
  const closing = CLOSING.has(row.stage)
  return (
    <ShopPage
      variant="wide"
      title={customerRow?.name || en.app.noName}
      subtitle={machineName(machine(row.machine_id))}
      badge={<Badge text={shownName(row)} {...(row.number === null && { small: t.numberLater })} />}
    >
      <Columns
        first={
          <>
            <JobStage job={row} />
            <OpenSafety job={row} />
            <JobFigures job={row} />
            <JobMoney job={row} quiet={closing} />
            <JobStorage job={row} />
            <JobPerson job={row} />
            <Clock jobId={id} quiet={closing} />
            {closing && <ClosingAct job={row} />}
            <JobNextAct job={row} />
            {!closing && <BillButton job={row} />}
            <ButtonRow>
              <Button label={t.bench} hint={t.benchHint} to={{ at: 'job-bench', id }} shortcut="job.bench" />
              <PartsButton id={id} />
            </ButtonRow>
            {AT_WORK.has(row.stage) && (
              <Caution text={t.cautions[row.stage === 'testing' ? 'testing' : 'stopped']} />
            )}
            <JobComeback job={row} />
            <Warranty machineId={row.machine_id} />
            <DeclinedBefore job={row} />
            <AgreedTotal job={row} />
            <JobRequests jobId={id} />
          </>
        }
        second={
          <>
            {parts.filter(({ hasContent }) => hasContent).map(({ part }) => part)}
            <Section title={t.add}>
              <AddButtons id={id} />
              {parts.filter(({ hasContent }) => !hasContent).map(({ part }) => part)}
            </Section>
            {NOT_READY.has(row.stage) && <PromiseOffer row={row} />}
            <JobFacts row={row} />
          </>
        }
      />
    </ShopPage>
  )
}

/** The parts of a job; those that hold nothing yet are only the buttons that fill them. */
function partsOf(row: JobRow): { hasContent: boolean; part: JSX.Element }[] {
  const { id } = row
  const quotes = quotesOf(id)
  const about = [id, ...quotes.map((quote) => quote.id)]
  const text =
    row.stage === 'ready'
      ? en.messages.log.machineReady(shop.value?.name ?? '', machineName(machine(row.machine_id)))
      : en.messages.log.hello(shop.value?.name ?? '')
  const pictures = attachmentsAbout('job', id).length > 0
  return [
    { hasContent: findingsOf(id).length > 0, part: <Findings key="findings" id={id} /> },
    { hasContent: complaintsOf(id).length > 0, part: <Complaints key="complaints" id={id} /> },
    { hasContent: invoicesOf(id).length > 0, part: <JobInvoices key="invoices" job={row} /> },
    { hasContent: quotes.length > 0, part: <JobQuotes key="quotes" job={row} /> },
    {
      hasContent: pictures,
      part: <Pictures key="pictures" about_kind="job" about_id={id} bare={!pictures} />,
    },
    { hasContent: hasStops(row), part: <JobStops key="stops" job={row} /> },
    {
      hasContent: noticesAbout(about).length > 0,
      part: (
        <Messages
          key="messages"
          kind="job"
          ids={about}
          recipient={customer(row.customer_id)}
          text={text}
          template={row.stage === 'ready' ? READY_NOTICE : 'plain'}
        />
      ),
    },
  ]
}
