/** The planning board of a day, from the rows on this device. */
import type { Rig, Run, Stop, Yard } from '../domain/contract'
import { commandsBetween } from '../domain/dispatch/board/commands'
import type { BoardPlan, BoardStop, Lane } from '../domain/dispatch/board/plan'
import { startAt } from '../domain/dispatch/routeCheck'
import { isPendingStop } from '../domain/dispatch/runs'
import type { Day } from '../domain/time'
import { newId } from './browser/clock'
import { legToStop, rig, rigs, runsOn, stop, stopsOfRun, stopsWaiting, yard } from './dispatch'
import { enqueueAll } from './queue/outbox'
import { freeWindowsOf, promisedSpan, routeDay, routeRig, routeStop, whereIs, windowsOf } from './routeCheck'

const secondOf = (at: string) => Date.parse(at) / 1000

/** The board as stored; null without a yard. `now`: ms since 1970. */
export function boardOf(day: Day, today: Day, now: number): BoardPlan | null {
  const place = yard.value
  if (!place) return null
  const runs = runsOn(day)
  const busy = new Set(runs.map(({ rig_id }) => rig_id))
  const lanes = [
    ...runs.flatMap((run) => {
      const truck = rig(run.rig_id)
      return truck ? [laneOfRun(run, truck, place, now)] : []
    }),
    ...rigs.value.filter(({ id }) => !busy.has(id)).map((truck) => emptyLane(truck, day, day < today, place)),
  ]
  const rows = [...runs.flatMap(({ id }) => stopsOfRun(id)), ...stopsWaiting.value]
  return {
    day: routeDay(place),
    stops: new Map(rows.map((row) => [row.id, boardStop(row, place, day)])),
    lanes,
    waiting: stopsWaiting.value.map(({ id }) => id),
  }
}

function laneOfRun(run: Run, truck: Rig, place: Yard, now: number): Lane {
  const stops = stopsOfRun(run.id)
  const over = run.state === 'done'
  const routed = routeRig(truck, run.day, place)
  return {
    // A rig may have had another run on the same day.
    rig: over ? { ...routed, key: `${truck.id} ${run.id}` } : routed,
    run: run.id,
    locked: run.state === 'locked',
    over,
    drives: run.driver_id !== null && truck.out_at === null,
    from: run.state === 'driving' ? whereIs(stops, place, now) : null,
    current: !run.cautions.some(({ code }) => code === 'moved_by_hand'),
    slots: stops.map(({ id, trip }) => ({ stop: id, trip })),
  }
}

const emptyLane = (truck: Rig, day: Day, over: boolean, place: Yard): Lane => ({
  rig: routeRig(truck, day, place),
  run: null,
  locked: false,
  over,
  drives: truck.driver_id !== null && truck.out_at === null,
  from: null,
  current: true,
  slots: [],
})

function boardStop(row: Stop, place: Yard, day: Day): BoardStop {
  const route = routeStop(row, place, freeWindowsOf(row, day))
  const planned = isPendingStop(row.state) ? plannedSpan(row, day) : pastSpan(row, route.service)
  // Only the server knows what was agreed of a visit: its planned length is kept when it is moved.
  const service = row.service_minutes === null && planned ? planned.leaves - planned.starts : route.service
  const fixedAt = row.pin_at === null ? null : secondOf(row.pin_at)
  return {
    route: { ...route, service },
    fixedAt,
    storedAt: fixedAt,
    promised: promisedSpan(row),
    planned,
    drive: legToStop(row)?.seconds ?? null,
    pending: isPendingStop(row.state),
  }
}

function plannedSpan(row: Stop, day: Day): BoardStop['planned'] {
  if (row.arrives_at === null || row.leaves_at === null) return null
  const leaves = secondOf(row.leaves_at)
  return { starts: Math.min(startAt(windowsOf(row, day), secondOf(row.arrives_at)), leaves), leaves }
}

function pastSpan({ arrived_at, left_at, failed_at }: Stop, service: number): BoardStop['planned'] {
  const from = arrived_at ?? failed_at
  if (from === null) return null
  const to = left_at ?? failed_at
  return { starts: secondOf(from), leaves: to === null ? secondOf(from) + service : secondOf(to) }
}

/** Sends a draft: one transaction of the commands that people move stops with. */
export async function sendBoard(day: Day, before: BoardPlan, after: BoardPlan): Promise<void> {
  const commands = commandsBetween(before, after, {
    day,
    newRun: () => newId(),
    pinsOf: (id) => ({ rig_id: stop(id)?.pin_rig_id ?? null, after_id: stop(id)?.pin_after_id ?? null }),
  })
  if (commands.length) await enqueueAll(commands)
}
