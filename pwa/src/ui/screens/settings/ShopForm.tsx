import { useState } from 'preact/hooks'
import { plainDecimal } from '../../../domain/decimal'
import type { Shop } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { WEEK_DAYS } from '../../../domain/worked'
import { permissions } from '../../../store/session'
import { editShop, shop } from '../../../store/shop'
import { Choice } from '../../components/Choice'
import { Field, Select } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.shopForm

export function ShopForm() {
  const row = shop.value
  return row && permissions.value.has('edit_shop') ? (
    <Change row={row} />
  ) : (
    <Nowhere back={{ at: 'settings' }} />
  )
}

const CLOCK_HOURS = [4, 6, 8, 9, 10, 11, 12, 14, 16]

/** What the paper says of the shop, and how it writes. */
function Change({ row }: { row: Shop }) {
  const [seen] = useState(row)
  const { name, address, phone, email, paper, units, locale, week_start, clock_hours } = row
  const { fields, put, drop } = useDraft(`shop:${row.id}`, {
    name,
    address,
    phone,
    email,
    paper,
    units,
    locale,
    week_start,
    clock_hours,
    overtime_after_hours: figures.value.number(row.overtime_after_hours),
    overtime_multiplier: figures.value.number(row.overtime_multiplier),
  })
  const [wrong, setWrong] = useState<{ name?: string; locale?: string; hours?: string; times?: string }>({})
  const { busy, send } = useSend()

  function save() {
    const hours = numberWithin(fields.overtime_after_hours, 1, 168)
    const times = numberWithin(fields.overtime_multiplier, 1, 9)
    const found = {
      ...(!fields.name.trim() && { name: its.missingName }),
      ...(!isLocale(fields.locale) && { locale: its.missingLocale }),
      ...(hours === null && { hours: its.missingHours }),
      ...(times === null && { times: its.missingTimes }),
    }
    setWrong(found)
    if (hours === null || times === null || Object.keys(found).length) return
    void send(
      () => editShop(seen, { ...fields, overtime_after_hours: hours, overtime_multiplier: times }),
      () => {
        drop()
        goTo({ at: 'settings' }, { instead: true })
      },
    )
  }
  return (
    <Sheet
      title={en.settings.company}
      back={{ at: 'settings' }}
      dock={<Slab words={its.save} form="shop" busy={busy} />}
    >
      <Form id="shop" wrong={wrong} onSend={save}>
        <Field label={its.name} value={fields.name} wrong={wrong.name} onValue={(name) => put({ name })} />
        <Field area label={its.address} value={fields.address} onValue={(address) => put({ address })} />
        <Field type="tel" label={its.phone} value={fields.phone} onValue={(phone) => put({ phone })} />
        <Field
          type="email"
          label={its.email}
          capital="off"
          value={fields.email}
          onValue={(email) => put({ email })}
        />
        <Choice
          across
          label={its.paper}
          value={fields.paper}
          options={[
            { value: 'letter', words: its.letter },
            { value: 'a4', words: its.a4 },
          ]}
          onValue={(paper) => put({ paper })}
        />
        <Choice
          across
          label={its.units}
          value={fields.units}
          options={[
            { value: 'us', words: its.us },
            { value: 'metric', words: its.metric },
          ]}
          onValue={(units) => put({ units })}
        />
        <Field
          label={its.locale}
          hint={its.localeHint}
          capital="off"
          value={fields.locale}
          wrong={wrong.locale}
          onValue={(locale) => put({ locale })}
        />
        <Select
          label={its.weekStart}
          value={fields.week_start}
          options={WEEK_DAYS.map((day) => [day, its.weekDays[day]])}
          onValue={(day) => put({ week_start: WEEK_DAYS.find((each) => each === day) ?? row.week_start })}
        />
        <Select
          label={en.clock.hoursSetting}
          value={String(fields.clock_hours)}
          options={CLOCK_HOURS.map((hours) => [String(hours), en.clock.hours(hours)])}
          onValue={(hours) => put({ clock_hours: Number(hours) })}
        />
        <Field
          decimal
          label={its.overtimeAfter}
          hint={its.overtimeHint}
          value={fields.overtime_after_hours}
          wrong={wrong.hours}
          onValue={(overtime_after_hours) => put({ overtime_after_hours })}
        />
        <Field
          decimal
          label={its.overtimeTimes}
          value={fields.overtime_multiplier}
          wrong={wrong.times}
          onValue={(overtime_multiplier) => put({ overtime_multiplier })}
        />
      </Form>
    </Sheet>
  )
}

/** Typed text as the plain number the server keeps, with two places at most. */
function numberWithin(typed: string, least: number, most: number): string | null {
  const decimal = figures.value.readNumber(typed)
  if (decimal === null || !/^\d+(\.\d{1,2})?$/u.test(decimal)) return null
  return Number(decimal) >= least && Number(decimal) <= most ? plainDecimal(decimal) : null
}

function isLocale(text: string): boolean {
  try {
    return Intl.getCanonicalLocales(text).length === 1
  } catch {
    return false
  }
}
