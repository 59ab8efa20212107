import { useState } from 'preact/hooks'
import { instantOf, wallAt } from '../../../domain/clock'
import { smsLink } from '../../../domain/places'
import { arrivalToTell } from '../../../domain/runs'
import { moment } from '../../../domain/time'
import { onWay as its } from '../../../domain/words.telling'
import { stop, tellArrival } from '../../../store/dispatch'
import { shop } from '../../../store/shop'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures, zone } from '../../shopFigures'
import { saving } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { aboutStop } from './about'

/** What the owner is told of the arrival: an interval, by one's own messages or by word of mouth. */
export function OnMyWay({ id }: { id: string }) {
  const row = stop(id)
  const [now] = useState(Date.now)
  const [earliest, latest] = arrivalToTell(row ?? { arrives_from: null, arrives_to: null }, now)
  const from = wallAt(zone.value, earliest)
  const to = wallAt(zone.value, latest)
  const { day } = from
  const { fields, put, drop } = useDraft(`tell:${id}`, { from: from.time, to: to.time })
  const [wrong, setWrong] = useState<{ to?: string }>({})
  const { busy, send } = useSend()
  if (!row) return <Nowhere />
  const { owner, name } = aboutStop(row)
  const opens = instantOf(zone.value, { day, time: fields.from })
  const closes = instantOf(zone.value, { day, time: fields.to })
  const { time } = figures.value
  const text =
    opens !== null && closes !== null
      ? its.text(shop.value?.name ?? '', time(moment(opens)), time(moment(closes)))
      : ''

  function told(): [string, string] | null {
    const found = opens === null || closes === null ? its.missing : wrongTimes(opens, closes)
    setWrong(found ? { to: found } : {})
    return found || opens === null || closes === null ? null : [moment(opens), moment(closes)]
  }
  const leave = () => {
    drop()
    goTo({ at: 'stop', id }, { instead: true })
  }
  function say(channel: 'by_hand' | 'sms' | 'email') {
    const times = told()
    if (times) void send(() => tellArrival(id, ...times, channel), leave, its.saved)
  }
  const channels = (['sms', 'email'] as const).filter((each) => owner?.[each === 'sms' ? 'phone' : 'email'])
  return (
    <Sheet
      over={name}
      title={its.title}
      under={its.hint}
      back={{ at: 'stop', id }}
      dock={<Slab words={its.byHand} hint={its.byHandHint} form="tell" busy={busy} />}
    >
      <Form id="tell" wrong={wrong} onSend={() => say('by_hand')}>
        <div class="two">
          <Field type="time" label={its.from} value={fields.from} onValue={(value) => put({ from: value })} />
          <Field
            type="time"
            label={its.to}
            value={fields.to}
            wrong={wrong.to}
            onValue={(value) => put({ to: value })}
          />
        </div>
        {text && <p class="lines">{text}</p>}
        <Keys tall>
          {channels.map((channel) => (
            <Key
              key={channel}
              wide
              words={its.send[channel]}
              hint={its.sendHint}
              onPress={() => say(channel)}
            />
          ))}
        </Keys>
        {owner?.phone && text && (
          <Keys tall>
            <Key
              wide
              words={its.sms}
              hint={its.smsHint}
              href={smsLink(owner.phone, text)}
              onPress={() => {
                const times = told()
                if (times) void saving(() => tellArrival(id, ...times, 'by_hand'), its.saved)
              }}
            />
          </Keys>
        )}
      </Form>
    </Sheet>
  )
}

function wrongTimes(opens: number, closes: number): string | undefined {
  if (closes < opens) return its.endsFirst
  return closes < Date.now() ? its.over : undefined
}
