import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { instantBetween, wallAt } from '../../../domain/clock'
import type { TimeEntry } from '../../../domain/rows'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { permissions } from '../../../store/session'
import { members } from '../../../store/shop'
import { beside, entry, isOfThisPhone, letHold, splitAt } from '../../../store/time'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures, zone } from '../../shopFigures'
import { useNow } from '../../ticking'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { isOwn, listOf, minutesOf, spanWords, workWords } from './about'

const its = en.clock

/** Two clocks that ran at once: one holds, or one gave way to the other at a time. */
export function SettleTime({ id }: { id: string }) {
  const row = entry(id)
  if (!row) return <Nowhere back={{ at: 'my-time' }} />
  if (row.state !== 'disputed')
    return (
      <Sheet title={its.settleDone} back={listOf(row.member_id)}>
        <Ticket row={row} />
      </Sheet>
    )
  if (!isOwn(row.member_id) && !permissions.value.has('correct_time'))
    return (
      <Sheet over={nameOf(row)} title={its.settleTitle} under={its.notYours} back={listOf(row.member_id)}>
        <Ticket row={row} />
      </Sheet>
    )
  const other = beside(row)[0]
  return other ? <Pair row={row} other={other} /> : <Doubtful row={row} />
}

function Pair({ row, other }: { row: TimeEntry; other: TimeEntry }) {
  const [first, second] = row.started_at <= other.started_at ? [row, other] : [other, row]
  const { send } = useSend()
  const [time, setTime] = useState(() => wallAt(zone.value, Date.parse(second.started_at)).time)
  const [wrong, setWrong] = useState<{ time?: string }>({})
  const settle = (work: () => Promise<void>) =>
    void send(work, () => goTo(listOf(row.member_id), { instead: true }), its.settled)

  function split() {
    const day = wallAt(zone.value, Date.parse(second.started_at)).day
    const ends = Math.min(second.ended_at === null ? Date.now() : Date.parse(second.ended_at), Date.now())
    const at = instantBetween(zone.value, { day, time }, Date.parse(first.started_at), ends)
    if (at === null) return setWrong({ time: its.splitOutside })
    // To the minute the time stands for the very moment the second began.
    const began = Date.parse(second.started_at)
    const exact = at === began - (began % 60_000) ? second.started_at : moment(at)
    settle(() => splitAt(first.id, second.id, exact))
  }
  return (
    <Sheet
      over={nameOf(row)}
      title={its.settleTitle}
      under={its.settleHint}
      back={listOf(row.member_id)}
      dock={<Slab words={its.split} form="split" />}
    >
      <div class="versus">
        {[first, second].map((each) => (
          <Ticket key={each.id} row={each}>
            <Keys tall>
              <Key
                wide
                words={its.holds}
                label={`${its.holds}: ${workWords(each)}`}
                onPress={() => settle(() => letHold(each.id, each === first ? second.id : first.id))}
              />
            </Keys>
          </Ticket>
        ))}
      </div>
      <Form id="split" wrong={wrong} onSend={split}>
        <Field type="time" label={its.gaveWay} value={time} wrong={wrong.time} onValue={setTime} />
      </Form>
    </Sheet>
  )
}

function Doubtful({ row }: { row: TimeEntry }) {
  const { send } = useSend()
  return (
    <Sheet
      over={nameOf(row)}
      title={its.fixTitle}
      under={row.doubt && its.doubts[row.doubt]}
      back={listOf(row.member_id)}
      dock={
        <Slab
          words={isOwn(row.member_id) ? its.stoppedAt : its.stoppedAtTheirs}
          to={{ at: 'time-fix', id: row.id }}
        />
      }
    >
      <Ticket row={row} />
      {row.doubt !== 'ends_first' && (
        <Keys tall>
          <Key
            wide
            words={its.asItIs}
            onPress={() =>
              void send(
                () => letHold(row.id, null),
                () => goTo(listOf(row.member_id), { instead: true }),
                its.settled,
              )
            }
          />
        </Keys>
      )}
    </Sheet>
  )
}

function Ticket({ row, children }: { row: TimeEntry; children?: ComponentChildren }) {
  const now = useNow()
  return (
    <div class="ticket">
      <h2>{deviceWords(row)}</h2>
      <p>{workWords(row)}</p>
      <p>
        {en.app.joined([
          figures.value.weekday(wallAt(zone.value, Date.parse(row.started_at)).day),
          spanWords(row),
          its.length(minutesOf(row, now)),
        ])}
      </p>
      {children}
    </div>
  )
}

function deviceWords(row: TimeEntry): string {
  if (row.device_started_at === null && row.device_ended_at === null) return its.onNoPhone
  return isOfThisPhone(row) ? its.thisPhone : its.otherPhone
}

function nameOf(row: TimeEntry): string {
  return members.value.find((member) => member.id === row.member_id)?.name ?? its.myTime
}
