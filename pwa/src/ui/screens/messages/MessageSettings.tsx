import { useEffect, useState } from 'preact/hooks'
import type { FollowUpDays, Shop } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { languageOptions } from '../../../domain/words/languages'
import { settings as t, words } from '../../../domain/words/noticeSettings'
import { readChannels } from '../../../store/notices'
import { permissions } from '../../../store/session/session'
import { editShop, shop } from '../../../store/shop'
import { PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { ListItem } from '../../components/List'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { DescriptionList, Section } from '../../components/Section'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { useOriginal } from '../../useDraft'
import { type FieldErrors, useForm } from '../../useForm'
import { PushOnThisPhone } from './PushOnThisPhone'

const CLOCK = /^([01]\d|2[0-3]):[0-5]\d$/u
const MOST_DAYS = 730
type Days = keyof typeof t.days
const DAYS = Object.keys(t.days) as Days[]

type Channels = Awaited<ReturnType<typeof readChannels>>

/** Quiet hours and follow-up days of the shop, for those who may change them; push messages on this phone, for everyone. */
export function MessageSettings() {
  const row = shop.value
  const [channels, setChannels] = useState<Channels | null>(null)
  useEffect(() => {
    readChannels().then(setChannels, () => undefined)
  }, [])
  if (!row) return <NotFound />
  const may = permissions.value.has('edit_shop')
  return (
    <ShopPage title={t.title} {...(may && { dock: <PrimaryButton label={t.save} form="messages" /> })}>
      <PushOnThisPhone push_key={channels?.push_key ?? null} />
      <Section title={t.channelsTitle}>
        {channels ? (
          <DescriptionList
            items={[
              [en.messages.log.channels.email, channels.email ? t.set : t.notSet],
              [en.messages.log.channels.sms, channels.sms ? t.set : t.notSet],
            ]}
          />
        ) : (
          <p class="hint">{t.channelsUnknown}</p>
        )}
      </Section>
      {may && <ListItem title={words.title} details={words.hint} to={{ at: 'wordings' }} />}
      {may && <EditMessageSettings row={row} />}
    </ShopPage>
  )
}

function toSettingsFormFields({ quiet_from, quiet_until, follow_ups, customer_language = 'en' }: Shop) {
  const days = Object.fromEntries(DAYS.map((key) => [key, String(follow_ups[key] ?? '')])) as Record<
    Days,
    string
  >
  const { ask_customer } = follow_ups
  // On unless switched off: a row stored before there was such a message says nothing of it.
  const notify_ready = follow_ups.notify_ready !== false
  return { quiet_from, quiet_until, customer_language, ask_customer, notify_ready, ...days }
}

type SettingsFormFields = ReturnType<typeof toSettingsFormFields>

function validateSettings(fields: SettingsFormFields): FieldErrors {
  const isTime = (name: 'quiet_from' | 'quiet_until') => CLOCK.test(fields[name])
  return {
    quiet_from: !isTime('quiet_from') && t.missingTime,
    quiet_until: !isTime('quiet_until') && t.missingTime,
    ...Object.fromEntries(
      DAYS.map((key) => [key, fields[key] !== '' && !isDays(fields[key]) && t.missingDays]),
    ),
  }
}

function followUpsOf(seen: Shop, fields: SettingsFormFields): FollowUpDays {
  const days = Object.fromEntries(DAYS.map((key) => [key, fields[key] === '' ? null : Number(fields[key])]))
  const { ask_customer, notify_ready } = fields
  return { ...seen.follow_ups, ...days, ask_customer, notify_ready }
}

function EditMessageSettings({ row }: { row: Shop }) {
  const seen = useOriginal(`messages:${row.id}`, row)
  const form = useForm({
    name: `messages:${row.id}`,
    blank: toSettingsFormFields(row),
    check: validateSettings,
    save: (fields) => {
      const { quiet_from, quiet_until, customer_language } = fields
      return editShop(seen, {
        quiet_from,
        quiet_until,
        customer_language,
        follow_ups: followUpsOf(seen, fields),
      })
    },
  })
  const { field } = form
  return (
    <Form id={form.id} errors={form.errors} onSubmit={() => form.submit()}>
      <div class="two-columns">
        <TextField type="time" label={t.quietFrom} {...field('quiet_from')} />
        <TextField type="time" label={t.quietUntil} {...field('quiet_until')} />
      </div>
      <p class="hint">{t.quietHint}</p>
      <BooleanRadioGroup
        label={t.unansweredQuotes}
        options={[
          [false, t.askNobody],
          [true, t.askThem],
        ]}
        {...field('ask_customer')}
      />
      <BooleanRadioGroup
        label={words.types['machine_ready'] ?? ''}
        options={[
          [true, t.notifyThem],
          [false, t.notifyNobody],
        ]}
        {...field('notify_ready')}
      />
      <RadioGroup label={t.newCustomers} options={languageOptions} {...field('customer_language')} />
      <Section title={t.daysTitle} hint={t.daysHint}>
        {DAYS.map((key) => (
          <TextField key={key} decimal label={t.days[key]} {...field(key)} />
        ))}
      </Section>
    </Form>
  )
}

function isDays(text: string): boolean {
  return /^\d{1,3}$/u.test(text) && Number(text) >= 1 && Number(text) <= MOST_DAYS
}
