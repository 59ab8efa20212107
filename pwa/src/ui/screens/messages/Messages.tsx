import { useState } from 'preact/hooks'
import { mailLink } from '../../../domain/messages'
import { smsLink } from '../../../domain/places'
import type { Customer, Notice } from '../../../domain/rows'
import { en } from '../../../domain/words'
import {
  noteSent,
  noticesAbout,
  optIn,
  optOut,
  optOutOf,
  recordMessage,
  sendAgain,
  wholeText,
} from '../../../store/notices'
import { permissions } from '../../../store/session'
import { shop } from '../../../store/shop'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { figures } from '../../shopFigures'
import { hush, saving, tell } from '../../telling'
import { linkTo } from './linkTo'

const its = en.messages.log

interface Props {
  /** What the messages are about; a new one is about the first. */
  kind: 'job' | 'customer'
  ids: readonly string[]
  owner: Customer | undefined
  /** What a message that is begun here says; it is finished in the phone's own program. */
  text: string
}

/** What was written to an owner, where each message stands, and writing one from this phone, signal or not. */
export function Messages({ kind, ids, owner, text }: Props) {
  const about_id = ids[0] ?? ''
  const told = { name: owner?.name ?? '', template: 'plain', about_kind: kind, about_id, body: text }
  // The phone's own program does not say what became of it: whoever comes back from there does.
  const [begun, setBegun] = useState<{ address: string; subject: string } | null>(null)
  const may = permissions.value.has('message')
  const subject = shop.value?.name ?? ''
  return (
    <Part title={its.title}>
      <Rows items={noticesAbout(ids)} keyOf={(row) => row.id} empty={its.none}>
        {(row) => <NoticeRow row={row} />}
      </Rows>
      {may && owner && (
        <Keys tall>
          {owner.phone && (
            <Key
              wide
              words={its.text}
              href={smsLink(owner.phone, text)}
              onPress={() => setBegun({ address: owner.phone, subject: '' })}
            />
          )}
          {owner.email && (
            <Key
              wide
              words={its.mail}
              href={mailLink(owner.email, subject, text)}
              onPress={() => setBegun({ address: owner.email, subject })}
            />
          )}
        </Keys>
      )}
      {begun && (
        <>
          <p class="lines">{its.didYou}</p>
          <Keys>
            <Key
              words={its.sentIt}
              onPress={() => {
                setBegun(null)
                void saving(() => recordMessage({ ...told, ...begun }), its.noted)
              }}
            />
            <Key words={its.notSent} onPress={() => setBegun(null)} />
          </Keys>
        </>
      )}
    </Part>
  )
}

function NoticeRow({ row }: { row: Notice }) {
  const { time } = figures.value
  const mail = row.address.includes('@')
  const when = row.state === 'waiting' && Date.parse(row.not_before) > Date.now()
  const link = linkTo(row, row)
  const also = en.app.joined([
    its.channels[row.channel],
    row.reason,
    when ? its.until(time(row.not_before)) : undefined,
  ])
  const again = row.state === 'refused' || row.state === 'unknown' || when
  return (
    <>
      <Row lead={row.subject || row.body} figure={its.states[row.state]} also={also} />
      {permissions.value.has('message') && (again || row.state === 'by_hand') && (
        <Keys>
          {row.state === 'by_hand' && !row.has_link && <Key words={mail ? its.mail : its.text} href={link} />}
          {row.state === 'by_hand' && row.has_link && (
            <Key words={mail ? its.mail : its.text} onPress={() => void openWhole(row)} />
          )}
          {row.state === 'by_hand' && (
            <Key words={its.sentIt} onPress={() => void saving(() => noteSent(row.id), its.noted)} />
          )}
          {again && row.channel !== 'by_hand' && (
            <Key
              words={when ? its.sendNow : its.again}
              onPress={() => void saving(() => sendAgain(row.id), its.goesAgain)}
            />
          )}
        </Keys>
      )}
    </>
  )
}

/** Whoever holds the secret link of a message may answer: it is fetched now and handed on at once. */
async function openWhole(row: Notice) {
  tell(`${its.fetching} …`)
  const found = await wholeText(row.id)
  if (found === null || typeof found === 'string') return tell(found ?? its.online)
  hush()
  location.href = linkTo(row, found)
}

/** On a customer's screen: which messages they want none of. */
export function Wants({ owner }: { owner: Customer }) {
  const words = en.messages.wants
  const channels = [
    ['sms', owner.phone, words.sms],
    ['email', owner.email, words.email],
  ] as const
  if (!permissions.value.has('message') || !(owner.phone || owner.email)) return null
  return (
    <Part title={words.title}>
      <Keys>
        {channels.map(([channel, address, name]) => {
          const out = optOutOf(owner, channel)
          return (
            address && (
              <Key
                key={channel}
                words={name}
                pressed={out !== undefined}
                onPress={() =>
                  void saving(() => (out ? optIn(out.id) : optOut(channel, address)), words.saved)
                }
              />
            )
          )
        })}
      </Keys>
    </Part>
  )
}
