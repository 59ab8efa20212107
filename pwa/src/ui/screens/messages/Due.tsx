import { useState } from 'preact/hooks'
import { smsLink, telLink } from '../../../domain/places'
import type { FollowUp } from '../../../domain/rows'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { dropFollowUp, followUpsDue, putOff } from '../../../store/followUps'
import { noteSent, owedByHand, recordMessage } from '../../../store/notices'
import { permissions } from '../../../store/session'
import { shop } from '../../../store/shop'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { figures, today } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { linkTo } from './linkTo'

const its = en.messages.due
const A_WEEK = 7

/** On today's screen: what is to be come back to, each with its reason and what is done about it in one tap. */
export function Due() {
  const rows = followUpsDue(today())
  if (!rows.length || !permissions.value.has('follow_up')) return null
  return (
    <Part title={its.title(rows.length)}>
      <Rows items={rows} keyOf={(row) => row.id} empty="">
        {(row) => <DueRow row={row} />}
      </Rows>
    </Part>
  )
}

function DueRow({ row }: { row: FollowUp }) {
  const owner = row.customer_id === null ? undefined : customer(row.customer_id)
  async function away(work: () => Promise<() => Promise<unknown>>, words: string) {
    let undo: () => Promise<unknown> = async () => undefined
    const saved = await saving(async () => {
      undo = await work()
    })
    if (saved) tell(words, undo)
  }
  // The phone's own program does not say what became of it: whoever comes back from there does.
  const [begun, setBegun] = useState(false)
  const owed = owedByHand(row.about_id)
  const hello = en.messages.log.hello(shop.value?.name ?? '')
  const link = owed ? linkTo(owed, owed) : owner?.phone && smsLink(owner.phone, hello)
  const note = () =>
    owed
      ? noteSent(owed.id)
      : recordMessage({
          name: owner?.name ?? '',
          template: 'plain',
          address: owner?.phone ?? '',
          subject: '',
          body: hello,
          ...(row.job_id === null
            ? { about_kind: 'customer', about_id: owner?.id ?? '' }
            : { about_kind: 'job', about_id: row.job_id }),
        })
  function noted() {
    setBegun(false)
    void saving(note, en.messages.log.noted)
  }
  const later = figures.value.weekday(daysAfter(today(), A_WEEK))
  return (
    <>
      <Row lead={row.why} {...(row.job_id !== null && { to: { at: 'job' as const, id: row.job_id } })} />
      <Keys>
        {owner?.phone && <Key words={its.call} href={telLink(owner.phone)} />}
        {link && permissions.value.has('message') && (
          <Key words={its.write} href={link} onPress={() => setBegun(true)} />
        )}
        <Key
          words={its.later}
          onPress={() => void away(() => putOff(row.id, today(), A_WEEK), its.putOff(later))}
        />
        <Key words={its.drop} onPress={() => void away(() => dropFollowUp(row.id), its.dropped)} />
      </Keys>
      {begun && (
        <>
          <p class="lines">{its.didYou}</p>
          <Keys>
            <Key words={its.sentIt} onPress={noted} />
            <Key words={en.messages.log.notSent} onPress={() => setBegun(false)} />
          </Keys>
        </>
      )}
    </>
  )
}
