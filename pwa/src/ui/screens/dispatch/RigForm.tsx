import { useState } from 'preact/hooks'
import type { Rig } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { rig as its } from '../../../domain/words.rig'
import { addRig, editRig, rig } from '../../../store/dispatch'
import { permissions } from '../../../store/session'
import { members } from '../../../store/shop'
import { Choice } from '../../components/Choice'
import { Field, Select } from '../../components/Field'
import { Form } from '../../components/Form'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo, type Place } from '../../router'
import { useSend } from '../../send'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { units } from './about'
import { PositionField, readPair, typedPair } from './PositionField'
import {
  DECK,
  faultsOfFigures,
  groupsOf,
  LOADING,
  readFigure,
  TRAILER,
  TRUCK,
  type TypedFigures,
  typedFigure,
  typedFigures,
  unitOf,
} from './rigFigures'

const BACK: Place = { at: 'plan' }

export function NewRig() {
  return <RigForm seen={null} />
}

export function ChangeRig({ id }: { id: string }) {
  const row = rig(id)
  const [seen] = useState(row)
  return row && seen ? <RigForm key={id} seen={seen} /> : <Nowhere back={BACK} />
}

interface Typed {
  name: string
  driver: string
  crew: string
  payload_kg: string
  figures: TypedFigures
  winch: boolean
  rampFull: boolean
  opens: string
  closes: string
  rests: TypedRest[]
  home: string
}

interface TypedRest {
  opens: string
  closes: string
  minutes: string
}

const NO_REST: TypedRest = { opens: '', closes: '', minutes: '' }
const MOST_RESTS = 4

function typed(seen: Rig | null): Typed {
  const rests = (seen?.breaks ?? []).map((rest) => ({ ...rest, minutes: String(rest.minutes) }))
  return {
    name: seen?.name ?? '',
    driver: seen?.driver_id ?? '',
    crew: String(seen?.crew ?? 1),
    payload_kg: typedFigure('payload_kg', seen?.payload_kg, units()),
    figures: typedFigures(seen, units()),
    winch: seen?.winch ?? false,
    rampFull: seen?.ramp_full_width ?? false,
    opens: seen?.shift_opens ?? '07:00',
    closes: seen?.shift_closes ?? '17:00',
    rests: rests.length > 0 ? rests : [NO_REST],
    home: seen ? typedPair({ lat: seen.home_lat, lon: seen.home_lon }) : '',
  }
}

type Wrong = Record<string, string | undefined>

/** A truck with its trailer, in the shop's own units, from plates and scale. */
function RigForm({ seen }: { seen: Rig | null }) {
  const { fields, put, drop } = useDraft<Typed>(`rig:${seen?.id ?? 'new'}`, typed(seen))
  const [wrong, setWrong] = useState<Wrong>({})
  const { busy, send } = useSend()
  if (!permissions.value.has('plan_runs')) return <Nowhere />
  const leave = () => {
    drop()
    goTo(BACK, { instead: true })
  }

  function save() {
    const found = faultsOf(fields)
    setWrong(found)
    if (Object.values(found).some(Boolean)) return
    const wanted = rigOf(fields)
    void send(() => (seen ? editRig(seen, wanted) : addRig(wanted)), leave)
  }

  async function putAway(row: Rig) {
    if (!(await saving(() => editRig(row, { active: false })))) return
    tell(its.awayTold, () => editRig({ ...row, active: false }, { active: true }))
    leave()
  }
  const figure = (name: keyof TypedFigures) => (
    <Field
      key={name}
      decimal
      label={labelOf(name)}
      value={fields.figures[name] ?? ''}
      wrong={wrong[name]}
      onValue={(value) => put({ figures: { ...fields.figures, [name]: value } })}
    />
  )
  const yesNo = [
    { value: 'yes', words: its.yes },
    { value: 'no', words: its.no },
  ] as const
  return (
    <Sheet
      over={seen ? its.title : ''}
      title={seen ? seen.name : its.newTitle}
      under={its.hint}
      back={BACK}
      dock={<Slab words={its.save} form="rig" busy={busy} />}
    >
      <Form id="rig" wrong={wrong} onSend={save}>
        <Field label={its.name} value={fields.name} wrong={wrong['name']} onValue={(name) => put({ name })} />
        <Select
          label={its.driver}
          value={fields.driver}
          options={[
            ['', its.noDriver],
            ...members.value.filter(({ active }) => active).map(({ id, name }) => [id, name] as const),
          ]}
          onValue={(driver) => put({ driver })}
        />
        <Field
          decimal
          label={its.payload(unitOf('payload_kg', units()))}
          hint={its.payloadHint}
          value={fields.payload_kg}
          wrong={wrong['payload_kg']}
          onValue={(payload_kg) => put({ payload_kg })}
        />
        <Part title={its.deck}>
          <div class="two">{DECK.map(figure)}</div>
        </Part>
        <Part title={its.load}>
          <div class="two">{LOADING.map(figure)}</div>
          <Choice
            across
            label={its.winch}
            value={fields.winch ? 'yes' : 'no'}
            options={yesNo}
            onValue={(value) => put({ winch: value === 'yes' })}
          />
          <Choice
            across
            label={its.rampFull}
            value={fields.rampFull ? 'yes' : 'no'}
            options={yesNo}
            onValue={(value) => put({ rampFull: value === 'yes' })}
          />
          <Field
            decimal
            label={its.crew}
            value={fields.crew}
            wrong={wrong['crew']}
            onValue={(crew) => put({ crew })}
          />
        </Part>
        <Part title={its.shift}>
          <div class="two">
            <Field
              type="time"
              label={its.shiftOpens}
              value={fields.opens}
              onValue={(opens) => put({ opens })}
            />
            <Field
              type="time"
              label={its.shiftCloses}
              value={fields.closes}
              wrong={wrong['closes']}
              onValue={(closes) => put({ closes })}
            />
          </div>
          <Rests rests={fields.rests} wrong={wrong} onRests={(rests) => put({ rests })} />
          <PositionField
            label={its.home}
            hint={its.homeHint}
            value={fields.home}
            wrong={wrong['home']}
            onValue={(home) => put({ home })}
          />
        </Part>
        <Part title={its.trailer}>
          <div class="two">{TRAILER.map(figure)}</div>
        </Part>
        <Part title={its.truck}>
          <div class="two">{TRUCK.map(figure)}</div>
        </Part>
        {seen && (
          <Keys tall>
            <Key wide words={its.away} onPress={() => void putAway(seen)} />
          </Keys>
        )}
      </Form>
    </Sheet>
  )
}

interface RestsProps {
  rests: readonly TypedRest[]
  wrong: Wrong
  onRests: (rests: TypedRest[]) => void
}

/** The breaks of a shift: each between its first and its last moment to begin. */
function Rests({ rests, wrong, onRests }: RestsProps) {
  const putRest = (at: number, changed: Partial<TypedRest>) =>
    onRests(rests.map((each, number) => (number === at ? { ...each, ...changed } : each)))
  return (
    <>
      {rests.map((rest, at) => (
        <fieldset key={at} class="window">
          <legend class="unseen">{its.break(at + 1)}</legend>
          <div class="two">
            <Field
              type="time"
              label={its.breakOpens}
              value={rest.opens}
              onValue={(opens) => putRest(at, { opens })}
            />
            <Field
              type="time"
              label={its.breakCloses}
              value={rest.closes}
              onValue={(closes) => putRest(at, { closes })}
            />
          </div>
          <Field
            decimal
            label={its.breakMinutes}
            value={rest.minutes}
            wrong={wrong[`rest${at}`]}
            onValue={(minutes) => putRest(at, { minutes })}
          />
          {(rests.length > 1 || isGiven(rest)) && (
            <Keys tall>
              <Key
                wide
                words={its.dropBreak(at + 1)}
                onPress={() => onRests(rests.filter((_, number) => number !== at))}
              />
            </Keys>
          )}
        </fieldset>
      ))}
      {rests.length < MOST_RESTS && (
        <Keys tall>
          <Key wide words={its.addBreak} onPress={() => onRests([...rests, NO_REST])} />
        </Keys>
      )}
    </>
  )
}

const isGiven = ({ opens, closes, minutes }: TypedRest) => Boolean(opens || closes || minutes.trim())

function faultOfRest(rest: TypedRest): string | undefined {
  if (!isGiven(rest)) return undefined
  const minutes = Number(rest.minutes)
  const isWhole = Number.isInteger(minutes) && minutes >= 1 && minutes <= 240
  if (!rest.opens || !rest.closes || !isWhole) return its.breakHalf
  return rest.closes < rest.opens ? its.breakWrong : undefined
}

function labelOf(name: keyof TypedFigures): string {
  const unit = unitOf(name, units())
  return unit ? its.inUnit(its.fields[name], unit) : its.fields[name]
}

function faultsOf(fields: Typed): Wrong {
  const found: Wrong = {
    name: fields.name.trim() ? undefined : its.missingName,
    payload_kg: readFigure('payload_kg', fields.payload_kg, units()) ? undefined : its.missingPayload,
    crew: /^[1-4]$/u.test(fields.crew.trim()) ? undefined : its.wrongCount(4),
    closes: fields.closes > fields.opens ? undefined : its.shiftWrong,
    home: readPair(fields.home) === undefined ? en.dispatch.place.wrong : undefined,
    ...faultsOfFigures(fields.figures, units()),
  }
  fields.rests.forEach((rest, at) => {
    found[`rest${at}`] = faultOfRest(rest)
  })
  const { deck, ramp_length_cm } = groupsOf(fields.figures, units())
  if (ramp_length_cm !== null && deck.height_cm !== null && ramp_length_cm <= deck.height_cm)
    found['ramp_length_cm'] = its.rampShort
  return found
}

function rigOf(fields: Typed) {
  const home = readPair(fields.home) ?? { lat: null, lon: null }
  return {
    name: fields.name.trim(),
    driver_id: fields.driver || null,
    crew: Number(fields.crew),
    payload_kg: readFigure('payload_kg', fields.payload_kg, units()) ?? 0,
    ...groupsOf(fields.figures, units()),
    winch: fields.winch,
    ramp_full_width: fields.rampFull,
    home_lat: home.lat,
    home_lon: home.lon,
    shift_opens: fields.opens,
    shift_closes: fields.closes,
    breaks: fields.rests.filter(isGiven).map((rest) => ({ ...rest, minutes: Number(rest.minutes) })),
  }
}
