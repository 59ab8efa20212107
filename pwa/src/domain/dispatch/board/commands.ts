import type { Command } from '../../contract.ts'
import { moment } from '../../time.ts'
import type { BoardPlan, Lane, Slot } from './plan.ts'

type Rows = Map<string, Slot[]>

interface Pins {
  rig_id: string | null
  after_id: string | null
}

/**
 * The commands that turn the stored plan into the draft: unlock, open runs, move and fix stops, lock. `newRun`: the id for
 * a rig that gets its first stop of the day.
 */
export function commandsBetween(
  before: BoardPlan,
  after: BoardPlan,
  on: { day: string; newRun: (rig: string) => string; pinsOf: (stop: string) => Pins },
): Command[] {
  const stored = (rig: string) => before.lanes.find((lane) => lane.rig.key === rig)
  const opened: Command[] = []
  const runs = new Map<string, string>()
  for (const { rig, run, slots } of after.lanes) {
    const id = run ?? (slots.length > 0 ? on.newRun(rig.key) : null)
    if (id === null) continue
    runs.set(rig.key, id)
    if (run === null) opened.push({ name: 'open_run', args: { id, rig_id: rig.key, day: on.day } })
  }
  const moves = movesBetween(before, after, runs)
  const isMoved = ({ rig, slots }: Lane) => JSON.stringify(slots) !== JSON.stringify(stored(rig.key)?.slots)
  const locking = after.lanes.flatMap((lane) => {
    const was = stored(lane.rig.key)?.locked ?? false
    const reopened = was && (!lane.locked || isMoved(lane))
    return lane.run === null
      ? []
      : [{ id: lane.run, unlock: reopened, lock: lane.locked && (!was || reopened) }]
  })
  return [
    ...locking.flatMap(({ id, unlock }): Command[] => (unlock ? [{ name: 'unlock_run', args: { id } }] : [])),
    ...opened,
    ...moves,
    ...startsBetween(before, after, on.pinsOf),
    ...locking.flatMap(({ id, lock }): Command[] => (lock ? [{ name: 'lock_run', args: { id } }] : [])),
  ]
}

function startsBetween(before: BoardPlan, after: BoardPlan, pinsOf: (stop: string) => Pins): Command[] {
  return [...after.stops].flatMap(([id, { fixedAt }]): Command[] => {
    if (fixedAt === (before.stops.get(id)?.fixedAt ?? null)) return []
    const at = fixedAt === null ? null : moment(fixedAt * 1000)
    return [{ name: 'pin_stop', args: { id, ...pinsOf(id), at } }]
  })
}

/** The moves that make the stored order the wanted one, one for each stop that changes places where that is enough. */
function movesBetween(before: BoardPlan, after: BoardPlan, runs: ReadonlyMap<string, string>): Command[] {
  const rows: Rows = new Map(before.lanes.map(({ rig, slots }) => [rig.key, [...slots]]))
  const commands: Command[] = []
  const off = (key: string) => {
    for (const [rig, slots] of rows)
      rows.set(
        rig,
        slots.filter(({ stop }) => stop !== key),
      )
  }
  for (const id of after.waiting)
    if (!before.waiting.includes(id)) {
      off(id)
      commands.push({ name: 'move_stop', args: { id, run_id: null, trip: 0, position: 0 } })
    }
  for (const { rig, slots } of after.lanes) {
    const run_id = runs.get(rig.key)
    const kept = longestKept(before.lanes.find((lane) => lane.rig.key === rig.key)?.slots ?? [], slots)
    slots.forEach((slot, at) => {
      if (run_id === undefined || kept.has(slot.stop)) return
      off(slot.stop)
      const row = rows.get(rig.key) ?? []
      const trip = row.filter((each) => each.trip === slot.trip)
      const previous = slots[at - 1]
      const position =
        previous?.trip === slot.trip ? trip.findIndex(({ stop }) => stop === previous.stop) + 1 : 0
      trip.splice(position, 0, slot)
      const rest = row.filter((each) => each.trip !== slot.trip)
      rows.set(rig.key, [...rest, ...trip])
      commands.push({ name: 'move_stop', args: { id: slot.stop, run_id, trip: slot.trip, position } })
    })
  }
  return commands
}

/** The most stops that keep their trip and their order among each other, so that they need no move. */
function longestKept(before: readonly Slot[], after: readonly Slot[]): ReadonlySet<string> {
  const places = after.map(({ stop, trip }) =>
    before.findIndex((slot) => slot.stop === stop && slot.trip === trip),
  )
  const best: number[][] = []
  places.forEach((place, at) => {
    if (place < 0) return
    const heads = best.filter((chain) => (places[chain.at(-1) ?? 0] ?? -1) < place)
    const head = heads.reduce<number[]>((one, other) => (other.length > one.length ? other : one), [])
    best.push([...head, at])
  })
  const longest = best.reduce<number[]>((one, other) => (other.length > one.length ? other : one), [])
  return new Set(longest.map((at) => after[at]?.stop ?? ''))
}
