import { useState } from 'preact/hooks'
import type { Customer, FollowUp } from '../../../domain/contract'
import { smsLink, telLink } from '../../../domain/geo/places'
import { shownName } from '../../../domain/provisionalMarks'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { customer } from '../../../store/customers'
import { dropFollowUp, followUpsDue, postponeFollowUp } from '../../../store/followUps'
import { job } from '../../../store/jobs'
import { markSentByHand, noticeToSendByHand, recordMessage } from '../../../store/notices'
import { permissions } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { List, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { memberName } from '../../names'
import { format, today } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { messageLink } from './messageLink'

const t = en.messages.due
const A_WEEK = 7
/** Rows shown before the rest is asked for. */
const MOST_ROWS = 4

/** The follow-ups that are due, for members who follow up. */
export const followUpsHere = (): FollowUp[] =>
  permissions.value.has('follow_up') ? followUpsDue(today()) : []

/** On Today: follow-ups due, each with its reason and, opened, its actions. */
export function FollowUpsDue() {
  const rows = followUpsHere()
  if (!rows.length) return null
  return (
    <Section title={t.title} end={rows.length}>
      <List items={rows} keyOf={(row) => row.id} empty="" most={MOST_ROWS}>
        {(row) => <DueRow row={row} />}
      </List>
    </Section>
  )
}

/** Does it, and offers to undo it. */
async function away(work: () => Promise<() => Promise<unknown>>, words: string): Promise<void> {
  let undo: () => Promise<unknown> = async () => undefined
  const saved = await saveWithToast(async () => {
    undo = await work()
  })
  if (saved) showToast(words, undo)
}

function DueRow({ row }: { row: FollowUp }) {
  const jobRow = row.job_id === null ? undefined : job(row.job_id)
  const customerRow = row.customer_id === null ? undefined : customer(row.customer_id)
  return (
    <OpeningItem
      title={
        <>
          {customerRow?.name || (row.member_id && memberName(row.member_id))} <span>{t.kinds[row.kind]}</span>
        </>
      }
      value={jobRow && <Serial text={shownName(jobRow)} />}
    >
      <DueDetails row={row} />
    </OpeningItem>
  )
}

/** Why a follow-up is due, and what can be done about it. */
export function DueDetails({ row }: { row: FollowUp }) {
  const customerRow = row.customer_id === null ? undefined : customer(row.customer_id)
  // The phone's messaging app does not report whether the message was sent: the member is asked after returning.
  const [begun, setBegun] = useState(false)
  return (
    <>
      <p class="multiline">{row.why}</p>
      <DueActions row={row} recipient={customerRow} onMessage={() => setBegun(true)} />
      {begun && <WasItSent row={row} recipient={customerRow} onAnswer={() => setBegun(false)} />}
    </>
  )
}

interface PartProps {
  row: FollowUp
  recipient: Customer | undefined
}

const helloText = () => t.hello(shop.value?.name ?? '')

function DueActions({ row, recipient, onMessage }: PartProps & { onMessage: () => void }) {
  const queued = noticeToSendByHand(row.about_id)
  const link = queued
    ? messageLink(queued, queued)
    : recipient?.phone && smsLink(recipient.phone, helloText())
  const later = format.value.weekday(daysAfter(today(), A_WEEK))
  return (
    <ButtonRow>
      {row.job_id !== null && <Button label={en.job.open} to={{ at: 'job', id: row.job_id }} />}
      {recipient?.phone && (
        <Button label={t.call} ariaLabel={en.job.callName(recipient.name)} href={telLink(recipient.phone)} />
      )}
      {link && permissions.value.has('message') && <Button label={t.write} href={link} onPress={onMessage} />}
      <Button
        label={t.later}
        onPress={() => void away(() => postponeFollowUp(row.id, today(), A_WEEK), t.putOff(later))}
      />
      <Button label={t.drop} onPress={() => void away(() => dropFollowUp(row.id), t.dropped)} />
    </ButtonRow>
  )
}

function WasItSent({ row, recipient, onAnswer }: PartProps & { onAnswer: () => void }) {
  const queued = noticeToSendByHand(row.about_id)
  function noted() {
    onAnswer()
    void saveWithToast(
      () => (queued ? markSentByHand(queued.id) : recordHello(row, recipient, helloText())),
      t.noted,
    )
  }
  return (
    <>
      <p class="multiline">{t.didYou}</p>
      <ButtonRow>
        <Button label={t.sentIt} onPress={noted} />
        <Button label={t.notSent} onPress={onAnswer} />
      </ButtonRow>
    </>
  )
}

/** Records the short message sent with the phone's messaging app, about the job if there is one. */
function recordHello(row: FollowUp, customerRow: Customer | undefined, body: string) {
  return recordMessage({
    name: customerRow?.name ?? '',
    template: 'plain',
    address: customerRow?.phone ?? '',
    subject: '',
    body,
    ...(row.job_id === null
      ? { about_kind: 'customer', about_id: customerRow?.id ?? '' }
      : { about_kind: 'job', about_id: row.job_id }),
  })
}
