import type { Customer, Job, Notice, TicketChannel } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { stopsOfJob } from '../../../store/dispatch'
import { printTicket, sendTicket, ticketOf } from '../../../store/dispatchCommands'
import { intakeTermsOf } from '../../../store/intake'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { noticesAbout } from '../../../store/notices'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { NoticeRow } from '../../features/messages/NoticeRow'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { saveWithToast } from '../../toast'

const t = en.ticket
const UNSENT: ReadonlySet<Notice['state']> = new Set(['waiting', 'sending', 'by_hand'])

/** The ticket of a job: its PDF, the message with its link, and the terms it states. */
export function Ticket({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const recipient = customer(row.customer_id)
  const ticket = ticketOf(id)
  const sent = noticesAbout([id]).filter(({ template }) => template === 'machine_received')
  const ways = permissions.value.has('message') && recipient ? waysTo(recipient) : []
  // One that is on its way is not sent twice.
  const underWay = ticket?.state === 'waiting' || sent.some(({ state }) => UNSENT.has(state))
  const [first, ...others] = underWay ? [] : ways
  return (
    <ShopPage
      overline={recipient?.name || en.app.noName}
      title={`${t.title} ${shownName(row)}`}
      subtitle={machineName(machine(row.machine_id))}
      back={{ at: 'job', id }}
      dock={first && recipient && <SendButton row={row} recipient={recipient} way={first} main />}
    >
      {ways.length === 0 && <p class="hint">{t.noAddress}</p>}
      {isStillAway(row) && <p class="multiline">{t.notYet}</p>}
      <Terms id={id} />
      <PrintButtons
        words={ticket ? t.again : t.make}
        openWords={t.open}
        printout={ticket}
        onAsk={() => printTicket(id)}
      />
      <ButtonRow stacked>
        {recipient &&
          others.map((way) => <SendButton key={way.channel} row={row} recipient={recipient} way={way} />)}
      </ButtonRow>
      {sent.length > 0 && (
        <Section title={en.messages.log.title}>
          <List items={sent} keyOf={(notice) => notice.id} empty="">
            {(notice) => <NoticeRow row={notice} />}
          </List>
        </Section>
      )}
    </ShopPage>
  )
}

interface Way {
  channel: TicketChannel
  address: string
}

/** How the ticket can be sent: first as the customer wants to be reached, else by text message. */
export function waysTo({ phone, email, contact_by }: Customer): Way[] {
  const ways: Way[] = [
    { channel: 'sms', address: phone },
    { channel: 'email', address: email },
  ]
  return (contact_by === 'email' ? ways.reverse() : ways).filter(({ address }) => address)
}

/** Whether the machine is to be picked up and was not yet. */
const isStillAway = (row: Job): boolean =>
  row.arrives_by === 'pickup' &&
  !stopsOfJob(row.id).some(
    ({ kind, state }) => kind === 'pickup' && (state === 'arrived' || state === 'left'),
  )

function SendButton({
  row,
  recipient,
  way,
  main,
}: {
  row: Job
  recipient: Customer
  way: Way
  main?: boolean
}) {
  const button = {
    label: way.channel === 'sms' ? t.text : t.mail,
    hint: way.address,
    onPress: () =>
      void saveWithToast(
        () => sendTicket({ job_id: row.id, ...way, name: recipient.person || recipient.name }),
        t.queued,
      ),
  }
  return main ? <PrimaryButton {...button} /> : <Button wide {...button} />
}

function Terms({ id }: { id: string }) {
  const last = intakeTermsOf(id).at(-1)
  const { money, moment } = format.value
  const x = en.terms
  return (
    <Section title={x.title}>
      {last?.diagnosis_fee_minor != null && (
        <ListItem
          title={x.diagnosis(money(last.diagnosis_fee_minor))}
          details={last.diagnosis_credited && x.credited}
        />
      )}
      {last?.storage_per_day_minor != null && (
        <ListItem
          title={x.storage(money(last.storage_per_day_minor))}
          details={en.app.joined([
            x.free(last.storage_free_days ?? 0),
            last.storage_cap_minor == null ? '' : x.most(money(last.storage_cap_minor)),
          ])}
        />
      )}
      {last && <p class="hint">{x.accepted(last.accepted_by_name, moment(last.accepted_at))}</p>}
      <ButtonRow stacked>
        <Button wide label={x.record} to={{ at: 'job-terms', id }} />
      </ButtonRow>
    </Section>
  )
}
