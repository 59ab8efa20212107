import { useState } from 'preact/hooks'
import { instantOf, wallAt } from '../../../domain/clock'
import type { Run, Stop } from '../../../domain/rows'
import { isAhead } from '../../../domain/runs'
import { daysAfter, moment } from '../../../domain/time'
import { joinBefore, type TripMove, tripFrom } from '../../../domain/tripsByHand'
import { en } from '../../../domain/words'
import {
  moveStop,
  moveStops,
  openRun,
  pinStop,
  rigs,
  run,
  runsOn,
  stop,
  stopsOfRun,
} from '../../../store/dispatch'
import { permissions } from '../../../store/session'
import { Choice } from '../../components/Choice'
import { Field, Select } from '../../components/Field'
import { Form } from '../../components/Form'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo, type Place } from '../../router'
import { useSend } from '../../send'
import { figures, today, zone } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { aboutStop, rigName } from './about'

const its = en.dispatch.move
const AHEAD = 7
/** Among the ids of stops: after all of them, and the yard. */
const NEW_TRIP = 'new'

/** Where a stop goes by hand, and what every plan must keep of it. */
export function MoveStop({ id }: { id: string }) {
  const row = stop(id)
  return row && isAhead(row.state) ? <Moving row={row} /> : <Nowhere />
}

function Moving({ row }: { row: Stop }) {
  const now = row.run_id ? run(row.run_id) : undefined
  const day = now?.day ?? today()
  const ahead = Array.from({ length: AHEAD }, (_, at) => daysAfter(today(), at)).flatMap(runsOn)
  const open = ahead.filter((each) => each.state === 'planned' || each.state === 'driving')
  const shut = ahead.filter((each) => each.state === 'locked')
  const busyRigs = new Set(runsOn(day).map((each) => (each.state === 'done' ? '' : each.rig_id)))
  const free = rigs.value.filter((each) => each.out_at === null && !busyRigs.has(each.id))
  const [to, setTo] = useState(row.run_id ?? open[0]?.id ?? '')
  const [after, setAfter] = useState(placeBefore(row))
  const { busy, send } = useSend()
  const target = open.find((each) => each.id === to)
  const others = target ? stopsOfRun(target.id).filter((each) => each.id !== row.id) : []
  const back: Place = { at: 'stop', id: row.id }

  const lastTrip = others.at(-1)?.trip ?? 0

  async function put() {
    const behind = others.find((each) => each.id === after)
    let run_id: string | null = target?.id ?? null
    let undo = async () => {}
    await send(
      async () => {
        const fresh = free.find((each) => each.id === to)
        if (fresh) run_id = await openRun(fresh.id, day)
        const trip = after === NEW_TRIP ? lastTrip + 1 : (behind?.trip ?? 0)
        const position = behind ? others.filter((each) => each.trip === trip).indexOf(behind) + 1 : 0
        undo = await moveStop(
          row,
          run_id === null ? { run_id, trip: 0, position: 0 } : { run_id, trip, position },
        )
      },
      () => {
        tell(its.moved, undo)
        goTo(run_id ? { at: 'run', id: run_id } : back, { instead: true })
      },
    )
  }
  const where = [
    { value: '', words: its.none, hint: its.noneHint },
    ...open.map((each) => ({ value: each.id, words: runWords(each) })),
    ...free.map((each) => ({ value: each.id, words: its.newRun(each.name) })),
  ]
  return (
    <Sheet
      over={en.dispatch.kinds[row.kind]}
      title={its.title}
      under={aboutStop(row).name}
      back={back}
      dock={<Slab words={its.put} form="move" busy={busy} />}
    >
      <Form id="move" wrong={{}} onSend={() => void put()}>
        <Choice
          label={its.where}
          value={to}
          options={where}
          onValue={(value) => {
            setTo(value)
            setAfter('')
          }}
        />
        {shut.map((each) => (
          <p key={each.id} class="hint">
            {en.app.joined([runWords(each), its.locked])}
          </p>
        ))}
        {others.length > 0 && (
          <Select
            label={its.place}
            value={after}
            options={[
              ['', its.first],
              ...others.map((each) => [each.id, its.after(aboutStop(each).name)] as const),
              [NEW_TRIP, its.newTrip],
            ]}
            onValue={setAfter}
          />
        )}
      </Form>
      {now && open.includes(now) && <Trips row={row} on={now} />}
      {permissions.value.has('plan_runs') && <Pins row={row} others={others} day={day} />}
    </Sheet>
  )
}

/** Where the rig is at the yard between two stops. */
function Trips({ row, on }: { row: Stop; on: Run }) {
  const stops = stopsOfRun(on.id)
  const begins = tripFrom(stops, row.id)
  const joins = joinBefore(stops, row.id)

  async function make(moves: readonly TripMove[], words: string) {
    let undo = async () => {}
    const saved = await saving(async () => {
      undo = await moveStops(on.id, moves)
    })
    if (!saved) return
    tell(words, undo)
    goTo({ at: 'run', id: on.id }, { instead: true })
  }
  if (begins.length + joins.length === 0) return null
  return (
    <Part title={its.trips}>
      <Keys tall>
        {begins.length > 0 && (
          <Key
            wide
            words={its.tripFrom}
            hint={its.tripFromHint}
            onPress={() => void make(begins, its.tripBegun)}
          />
        )}
        {joins.length > 0 && (
          <Key
            wide
            words={its.joinBefore}
            hint={its.joinBeforeHint}
            onPress={() => void make(joins, its.tripJoined)}
          />
        )}
      </Keys>
    </Part>
  )
}

const runWords = (row: Run) =>
  its.onRun(rigName(row.rig_id), figures.value.weekday(row.day), stopsOfRun(row.id).length)

function placeBefore(row: Stop): string {
  if (row.run_id === null) return ''
  const stops = stopsOfRun(row.run_id)
  return stops[stops.findIndex((each) => each.id === row.id) - 1]?.id ?? ''
}

/** To a rig, to a time, after another stop: each plan keeps what is said here. */
function Pins({ row, others, day }: { row: Stop; others: readonly Stop[]; day: string }) {
  const pinned = row.pin_at === null ? null : wallAt(zone.value, Date.parse(row.pin_at))
  const { fields, put, drop } = useDraft(`pin:${row.id}`, {
    rig: row.pin_rig_id ?? '',
    day: pinned?.day ?? '',
    time: pinned?.time ?? '',
    after: row.pin_after_id ?? '',
  })
  const [wrong, setWrong] = useState<string | undefined>()

  async function pin() {
    const date = fields.day || (fields.time && day)
    const at = date && fields.time ? instantOf(zone.value, { day: date, time: fields.time }) : null
    const half = Boolean(fields.day || fields.time) && at === null
    setWrong(half ? its.pinHalf : undefined)
    if (half) return
    const pins = {
      rig_id: fields.rig || null,
      at: at === null ? null : moment(at),
      after_id: fields.after || null,
    }
    if (await saving(() => pinStop(row.id, pins), its.pinned)) drop()
  }
  return (
    <Part title={its.pins}>
      <Select
        label={its.pinRig}
        value={fields.rig}
        options={[['', its.pinRigNone], ...rigs.value.map(({ id, name }) => [id, name] as const)]}
        onValue={(rig) => put({ rig })}
      />
      <div class="two">
        <Field
          type="time"
          label={its.pinHour}
          value={fields.time}
          wrong={wrong}
          onValue={(time) => put({ time })}
        />
        <Field type="date" label={its.pinDay} value={fields.day} onValue={(value) => put({ day: value })} />
      </div>
      {others.length > 0 && (
        <Select
          label={its.pinAfter}
          value={fields.after}
          options={[
            ['', its.pinAfterNone],
            ...others.map((each) => [each.id, aboutStop(each).name] as const),
          ]}
          onValue={(after) => put({ after })}
        />
      )}
      <Keys tall>
        <Key wide words={its.pinSave} onPress={() => void pin()} />
      </Keys>
    </Part>
  )
}
