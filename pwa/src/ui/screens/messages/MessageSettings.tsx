import { useEffect, useState } from 'preact/hooks'
import type { FollowUpDays, Shop } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { readChannels } from '../../../store/notices'
import { pushOn, turnOffPush, turnOnPush } from '../../../store/push'
import { permissions } from '../../../store/session'
import { editShop, shop } from '../../../store/shop'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Facts, Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row } from '../../components/Rows'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.messages.settings
const CLOCK = /^([01]\d|2[0-3]):[0-5]\d$/u
const MOST_DAYS = 730
type Days = keyof typeof its.days
const DAYS = Object.keys(its.days) as Days[]

type Channels = Awaited<ReturnType<typeof readChannels>>

/** Quiet hours and days of the shop for whoever may change them; for everyone, messages on this phone. */
export function MessageSettings() {
  const row = shop.value
  const [channels, setChannels] = useState<Channels | null>(null)
  useEffect(() => {
    readChannels().then(setChannels, () => undefined)
  }, [])
  if (!row) return <Nowhere back={{ at: 'settings' }} />
  const may = permissions.value.has('edit_shop')
  return (
    <Sheet
      title={its.title}
      back={{ at: 'settings' }}
      {...(may && { dock: <Slab words={its.save} form="messages" /> })}
    >
      <ThisPhone push_key={channels?.push_key ?? null} />
      <Part title={its.channelsTitle}>
        {channels ? (
          <Facts
            facts={[
              [en.messages.log.channels.email, channels.email ? its.set : its.notSet],
              [en.messages.log.channels.sms, channels.sms ? its.set : its.notSet],
            ]}
          />
        ) : (
          <p class="hint">{its.channelsUnknown}</p>
        )}
      </Part>
      {may && <Row lead={en.messages.words.title} also={en.messages.words.hint} to={{ at: 'wordings' }} />}
      {may && <Change row={row} />}
    </Sheet>
  )
}

function ThisPhone({ push_key }: { push_key: string | null }) {
  async function turnOn(key: string) {
    const because = await turnOnPush(key)
    tell(because === null ? its.pushSaved : because === 'denied' ? its.pushDenied : its.pushNot)
  }
  return (
    <Part title={its.pushTitle}>
      {pushOn.value !== null && <p class="lines">{its.pushIsOn}</p>}
      <Keys tall>
        {pushOn.value !== null ? (
          <Key wide words={its.pushOff} onPress={() => void saving(turnOffPush, its.pushRemoved)} />
        ) : (
          <Key
            wide
            words={its.pushOn}
            hint={its.pushHint}
            onPress={() => void (push_key === null ? tell(its.pushNot) : turnOn(push_key))}
          />
        )}
      </Keys>
    </Part>
  )
}

function Change({ row }: { row: Shop }) {
  const [seen] = useState(row)
  const days = Object.fromEntries(DAYS.map((key) => [key, String(row.follow_ups[key] ?? '')])) as Record<
    Days,
    string
  >
  const { fields, put, drop } = useDraft(`messages:${row.id}`, {
    quiet_from: row.quiet_from,
    quiet_until: row.quiet_until,
    ask_owner: row.follow_ups.ask_owner,
    ...days,
  })
  const [wrong, setWrong] = useState<Record<string, string>>({})
  const { send } = useSend()

  function save() {
    const found: Record<string, string> = {}
    for (const key of ['quiet_from', 'quiet_until'] as const)
      if (!CLOCK.test(fields[key])) found[key] = its.missingTime
    for (const key of DAYS) if (fields[key] !== '' && !isDays(fields[key])) found[key] = its.missingDays
    setWrong(found)
    if (Object.keys(found).length) return
    const follow_ups: FollowUpDays = {
      ...seen.follow_ups,
      ...Object.fromEntries(DAYS.map((key) => [key, fields[key] === '' ? null : Number(fields[key])])),
      ask_owner: fields.ask_owner,
    }
    void send(
      () => editShop(seen, { quiet_from: fields.quiet_from, quiet_until: fields.quiet_until, follow_ups }),
      () => {
        drop()
        goTo({ at: 'settings' }, { instead: true })
      },
    )
  }
  return (
    <Form id="messages" wrong={wrong} onSend={save}>
      <div class="two">
        <Field
          type="time"
          label={its.quietFrom}
          value={fields.quiet_from}
          wrong={wrong['quiet_from']}
          onValue={(quiet_from) => put({ quiet_from })}
        />
        <Field
          type="time"
          label={its.quietUntil}
          value={fields.quiet_until}
          wrong={wrong['quiet_until']}
          onValue={(quiet_until) => put({ quiet_until })}
        />
      </div>
      <p class="hint">{its.quietHint}</p>
      <Choice
        label={its.askOwner}
        value={fields.ask_owner ? 'them' : 'us'}
        options={[
          { value: 'us', words: its.askNobody },
          { value: 'them', words: its.askThem },
        ]}
        onValue={(value) => put({ ask_owner: value === 'them' })}
      />
      <Part title={its.daysTitle} hint={its.daysHint}>
        {DAYS.map((key) => (
          <Field
            key={key}
            decimal
            label={its.days[key]}
            value={fields[key]}
            wrong={wrong[key]}
            onValue={(value) => put({ [key]: value })}
          />
        ))}
      </Part>
    </Form>
  )
}

function isDays(text: string): boolean {
  return /^\d{1,3}$/u.test(text) && Number(text) >= 1 && Number(text) <= MOST_DAYS
}
