import { useState } from 'preact/hooks'
import type { Customer } from '../../../domain/contract'
import { smsLink } from '../../../domain/geo/places'
import { mailLink } from '../../../domain/notices/mailLink'
import { en } from '../../../domain/words'
import { noticesAbout, optIn, optOut, optOutOf, recordMessage } from '../../../store/notices'
import { permissions } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { List } from '../../components/List'
import { Section } from '../../components/Section'
import { saveWithToast } from '../../toast'
import { NoticeRow } from './NoticeRow'

const t = en.messages.log

interface Props {
  /** The kind of row the messages are about; a new one is about the first of `ids`. */
  kind: 'job' | 'customer'
  ids: readonly string[]
  recipient: Customer | undefined
  /** The text of a new message; it is finished in the phone's messaging app. */
  text: string
  /** The kind of message that it is; by default one of no kind. */
  template?: string
}

/** Messages to a customer with their status, and buttons to send one with the phone's own apps. */
export function Messages({ kind, ids, recipient, text, template = 'plain' }: Props) {
  const about_id = ids[0] ?? ''
  const fields = { name: recipient?.name ?? '', template, about_kind: kind, about_id, body: text }
  // The phone's messaging app does not report whether the message was sent: the member is asked after returning.
  const [begun, setBegun] = useState<{ address: string; subject: string } | null>(null)
  const may = permissions.value.has('message')
  const subject = shop.value?.name ?? ''
  const notices = noticesAbout(ids)
  const compose = (
    <>
      {may && recipient && (
        <ButtonRow stacked>
          {recipient.phone && (
            <Button
              wide
              label={t.text}
              href={smsLink(recipient.phone, text)}
              onPress={() => setBegun({ address: recipient.phone, subject: '' })}
            />
          )}
          {recipient.email && (
            <Button
              wide
              label={t.mail}
              href={mailLink(recipient.email, subject, text)}
              onPress={() => setBegun({ address: recipient.email, subject })}
            />
          )}
        </ButtonRow>
      )}
      {begun && (
        <>
          <p class="multiline">{t.didYou}</p>
          <ButtonRow>
            <Button
              label={t.sentIt}
              onPress={() => {
                setBegun(null)
                void saveWithToast(() => recordMessage({ ...fields, ...begun }), t.noted)
              }}
            />
            <Button label={t.notSent} onPress={() => setBegun(null)} />
          </ButtonRow>
        </>
      )}
    </>
  )
  if (!notices.length) return compose
  return (
    <Section title={t.title}>
      <List items={notices} keyOf={(row) => row.id} empty="">
        {(row) => <NoticeRow row={row} />}
      </List>
      {compose}
    </Section>
  )
}

/** On a customer's screen: opting out of messages by channel. */
export function MessageOptOuts({ customer }: { customer: Customer }) {
  const words = en.messages.wants
  const channels = [
    ['sms', customer.phone, words.sms],
    ['email', customer.email, words.email],
  ] as const
  if (!permissions.value.has('message') || !(customer.phone || customer.email)) return null
  return (
    <Section title={words.title}>
      <ButtonRow>
        {channels.map(([channel, address, name]) => {
          const out = optOutOf(customer, channel)
          return (
            address && (
              <Button
                key={channel}
                label={name}
                pressed={out !== undefined}
                onPress={() =>
                  void saveWithToast(() => (out ? optIn(out.id) : optOut(channel, address)), words.saved)
                }
              />
            )
          )
        })}
      </ButtonRow>
    </Section>
  )
}
