import { useState } from 'preact/hooks'
import type { Yard } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { yard as its } from '../../../domain/words.rig'
import { saveYard, yard } from '../../../store/dispatch'
import { permissions } from '../../../store/session'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Part } from '../../components/Part'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo, type Place } from '../../router'
import { useSend } from '../../send'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { units } from './about'
import { PositionField, readPair, typedPair } from './PositionField'

const BACK: Place = { at: 'plan' }
const KM_A_MILE = 1.609344

/** Whole figures with their least and most, as the server holds them. */
const LIMITS = {
  loading: [0, 720],
  pickup: [0, 720],
  return: [0, 720],
  visit: [0, 720],
  trailerPercent: [0, 60],
  turnIn: [0, 60],
  low: [0, 50],
  high: [0, 50],
  ties: [1, 12],
} as const
type Whole = keyof typeof LIMITS

type Typed = Record<Whole | 'place' | 'opens' | 'closes' | 'speed', string>

function typed(seen: Yard | undefined): Typed {
  const speed = seen?.speed_kmh ?? null
  return {
    place: typedPair(seen),
    opens: seen?.opens ?? '07:00',
    closes: seen?.closes ?? '18:00',
    loading: String(seen?.loading_minutes ?? 10),
    pickup: String(seen?.pickup_minutes ?? 20),
    return: String(seen?.return_minutes ?? 15),
    visit: String(seen?.visit_minutes ?? 45),
    speed: speed === null ? '' : String(units() === 'us' ? Math.round(speed / KM_A_MILE) : speed),
    trailerPercent: String(seen?.trailer_percent ?? 10),
    turnIn: String(seen?.turn_in_minutes ?? 4),
    low: String((seen?.tongue_low_permille ?? 100) / 10),
    high: String((seen?.tongue_high_permille ?? 150) / 10),
    ties: String(seen?.least_tie_downs ?? 4),
  }
}

/** Where runs begin and end, and how this shop drives and works until its own days say better. */
export function YardForm() {
  const [seen] = useState(yard.value)
  const { fields, put, drop } = useDraft<Typed>('yard', typed(seen))
  const [wrong, setWrong] = useState<Partial<Record<keyof Typed, string | undefined>>>({})
  const { busy, send } = useSend()
  if (!permissions.value.has('plan_runs')) return <Nowhere />

  function save() {
    const found = faultsOf(fields)
    setWrong(found)
    if (Object.values(found).some(Boolean)) return
    void send(
      () => saveYard(seen, yardOf(fields)),
      () => {
        drop()
        goTo(BACK, { instead: true })
      },
    )
  }
  const field = (name: Whole, label: string, hint?: string) => (
    <Field
      decimal
      label={label}
      hint={hint}
      value={fields[name]}
      wrong={wrong[name]}
      onValue={(value) => put({ [name]: value })}
    />
  )
  const learned = (kind: 'pickup' | 'return' | 'visit') => {
    const minutes = seen?.learned[`${kind}_minutes`] ?? null
    return minutes === null ? its.minutesHint : its.learned(minutes, seen?.learned[`${kind}_count`] ?? 0)
  }
  return (
    <Sheet title={its.title} back={BACK} dock={<Slab words={its.save} form="yard" busy={busy} />}>
      <Form id="yard" wrong={wrong} onSend={save}>
        <PositionField value={fields.place} wrong={wrong.place} onValue={(place) => put({ place })} />
        <div class="two">
          <Field type="time" label={its.opens} value={fields.opens} onValue={(opens) => put({ opens })} />
          <Field
            type="time"
            label={its.closes}
            value={fields.closes}
            wrong={wrong.closes}
            onValue={(closes) => put({ closes })}
          />
        </div>
        {field('loading', its.loading)}
        {field('pickup', its.pickup, learned('pickup'))}
        {field('return', its.return, learned('return'))}
        {field('visit', its.visit, learned('visit'))}
        <Field
          decimal
          label={its.speed(units() === 'us' ? 'mph' : 'km/h')}
          hint={its.speedHint}
          value={fields.speed}
          wrong={wrong.speed}
          onValue={(speed) => put({ speed })}
        />
        {field('trailerPercent', its.trailerPercent)}
        {field('turnIn', its.turnIn)}
        <Part title={its.tongue}>
          <div class="two">
            {field('low', its.low)}
            {field('high', its.high)}
          </div>
          {field('ties', its.ties)}
        </Part>
      </Form>
    </Sheet>
  )
}

function isWithin(typed: string, [least, most]: readonly [number, number]): boolean {
  return /^\d{1,3}$/u.test(typed.trim()) && Number(typed) >= least && Number(typed) <= most
}

function speedOf({ speed }: Typed): number | null {
  if (!speed.trim()) return null
  return Math.round(Number(speed) * (units() === 'us' ? KM_A_MILE : 1))
}

function faultsOf(fields: Typed): Partial<Record<keyof Typed, string | undefined>> {
  const pair = readPair(fields.place)
  const found: Partial<Record<keyof Typed, string | undefined>> = {}
  if (pair === undefined) found.place = en.dispatch.place.wrong
  else if (pair.lat === null) found.place = its.missing
  if (fields.closes <= fields.opens) found.closes = its.closesWrong
  for (const name of Object.keys(LIMITS) as Whole[]) {
    const limits = LIMITS[name]
    if (!isWithin(fields[name], limits)) found[name] = its.wrong(limits[0], limits[1])
  }
  const speeds: readonly [number, number] = units() === 'us' ? [4, 80] : [5, 130]
  if (fields.speed.trim() && !isWithin(fields.speed, speeds)) found.speed = its.wrong(...speeds)
  if (!found.low && !found.high && Number(fields.high) <= Number(fields.low)) found.high = its.tongueWrong
  return found
}

function yardOf(fields: Typed) {
  const { lat, lon } = readPair(fields.place) ?? { lat: null, lon: null }
  return {
    lat,
    lon,
    opens: fields.opens,
    closes: fields.closes,
    loading_minutes: Number(fields.loading),
    pickup_minutes: Number(fields.pickup),
    return_minutes: Number(fields.return),
    visit_minutes: Number(fields.visit),
    speed_kmh: speedOf(fields),
    trailer_percent: Number(fields.trailerPercent),
    turn_in_minutes: Number(fields.turnIn),
    tongue_low_permille: 10 * Number(fields.low),
    tongue_high_permille: 10 * Number(fields.high),
    least_tie_downs: Number(fields.ties),
  }
}
