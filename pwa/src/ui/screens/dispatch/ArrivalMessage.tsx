import { useState } from 'preact/hooks'
import type { Language, Stop } from '../../../domain/contract'
import { arrivalWindow } from '../../../domain/dispatch/runs'
import { smsLink } from '../../../domain/geo/places'
import { msOfWallTime, wallTimeAt } from '../../../domain/labor/clock'
import { GIVEN_ENDS_FIRST } from '../../../domain/messages/fields'
import { moment } from '../../../domain/time'
import { onWay as t } from '../../../domain/words/arrival'
import { stop } from '../../../store/dispatch'
import { tellArrival } from '../../../store/dispatchCommands'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { aboutStop } from '../../features/dispatch/stopText'
import { NotFound } from '../../NotFound'
import { formatFor, zone } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { useForm } from '../../useForm'

/** Tells the customer when somebody will arrive: an interval, by message or by word of mouth. */
export function ArrivalMessage({ id }: { id: string }) {
  const row = stop(id)
  return row ? <ArrivalForm row={row} /> : <NotFound />
}

interface ArrivalFormFields {
  from: string
  to: string
}

function ArrivalForm({ row }: { row: Stop }) {
  const [now] = useState(Date.now)
  const [earliest, latest] = arrivalWindow(row, now)
  const from = wallTimeAt(zone.value, earliest)
  const times = (fields: ArrivalFormFields) => timesOf(from.day, fields)
  const by = (channel: Parameters<typeof tellArrival>[3]) => (fields: ArrivalFormFields) => {
    const promise = times(fields)
    return promise && tellArrival(row.id, moment(promise[0]), moment(promise[1]), channel)
  }
  const form = useForm<ArrivalFormFields>({
    name: `tell:${row.id}`,
    blank: { from: from.time, to: wallTimeAt(zone.value, latest).time },
    check: (fields) => ({ to: timesError(times(fields)) }),
    save: by('by_hand'),
    back: { at: 'stop', id: row.id },
    saved: t.saved,
  })
  const { customer, name } = aboutStop(row)
  const text = arrivalText(customer?.language ?? 'en', times(form.fields))
  const channels = (['sms', 'email'] as const).filter(
    (each) => customer?.[each === 'sms' ? 'phone' : 'email'],
  )
  return (
    <FormPage
      form={form}
      overline={name}
      title={t.title}
      subtitle={t.hint}
      saveLabel={t.byHand}
      saveHint={t.byHandHint}
    >
      <div class="two-columns">
        <TextField type="time" label={t.from} {...form.field('from')} />
        <TextField type="time" label={t.to} {...form.field('to')} />
      </div>
      {text && <p class="multiline">{text}</p>}
      <ButtonRow stacked>
        {channels.map((channel) => (
          <Button
            key={channel}
            wide
            label={t.send[channel]}
            hint={t.sendHint}
            onPress={() => form.submit(by(channel))}
          />
        ))}
      </ButtonRow>
      {customer?.phone && text && (
        <OwnText
          href={smsLink(customer.phone, text)}
          onPress={() =>
            form.validate() && void saveWithToast(async () => by('by_hand')(form.fields), t.saved)
          }
        />
      )}
    </FormPage>
  )
}

/** The message as the customer reads it; empty without times. */
function arrivalText(language: Language, promise: [number, number] | null): string {
  if (!promise) return ''
  const [from = '', to = ''] = promise.map((at) => formatFor(language).time(moment(at)))
  return (t.text[language] ?? t.text.en)(shop.value?.name ?? '', from, to)
}

/** The same text in the phone's messaging app. */
function OwnText({ href, onPress }: { href: string; onPress: () => void }) {
  return (
    <ButtonRow stacked>
      <Button wide label={t.sms} hint={t.smsHint} href={href} onPress={onPress} />
    </ButtonRow>
  )
}

/** Start and end in ms; null where either is not a time. */
function timesOf(day: string, { from, to }: ArrivalFormFields): [number, number] | null {
  const opens = msOfWallTime(zone.value, { day, time: from })
  const closes = msOfWallTime(zone.value, { day, time: to })
  return opens === null || closes === null ? null : [opens, closes]
}

function timesError(times: [number, number] | null): string | undefined {
  if (times === null) return t.missing
  const [opens, closes] = times
  if (closes < opens) return GIVEN_ENDS_FIRST
  return closes < Date.now() ? t.over : undefined
}
