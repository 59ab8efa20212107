import { smsLink, telLink } from '../../../domain/places'
import type { FollowUp } from '../../../domain/rows'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { dropFollowUp, followUpsDue, putOff } from '../../../store/followUps'
import { permissions } from '../../../store/session'
import { shop } from '../../../store/shop'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { figures, today } from '../../shopFigures'
import { saving, tell } from '../../telling'

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
  const later = figures.value.weekday(daysAfter(today(), A_WEEK))
  return (
    <>
      <Row lead={row.why} {...(row.job_id !== null && { to: { at: 'job' as const, id: row.job_id } })} />
      <Keys>
        {owner?.phone && <Key words={its.call} href={telLink(owner.phone)} />}
        {owner?.phone && (
          <Key words={its.write} href={smsLink(owner.phone, en.messages.log.hello(shop.value?.name ?? ''))} />
        )}
        <Key
          words={its.later}
          onPress={() => void away(() => putOff(row.id, today(), A_WEEK), its.putOff(later))}
        />
        <Key words={its.drop} onPress={() => void away(() => dropFollowUp(row.id), its.dropped)} />
      </Keys>
    </>
  )
}
