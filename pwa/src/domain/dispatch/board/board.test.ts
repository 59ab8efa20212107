/**
 * Two rigs on the equator at 60 km/h by straight lines, without loading or turning in: places are ten minutes of driving
 * apart, so every time below is worked out by hand.
 */
import { expect, test } from 'vitest'
import type { RouteStop, TimeWindow } from '../routeCheck.ts'
import { commandsBetween } from './commands.ts'
import { hoursOf, viewLane } from './lanes.ts'
import { bestPlace, leaveOut, shiftOrder, shiftRig, shiftStart, toggleLock } from './moves.ts'
import { applyMoves, type BoardMove, type BoardPlan, type BoardStop, type Lane, laneOf } from './plan.ts'

const MINUTE = 60
const at = (hours: number, minutes = 0) => 3600 * hours + MINUTE * minutes
const clock = (second: number | null | undefined) =>
  second == null
    ? null
    : `${Math.floor(second / 3600)}:${String(Math.floor((second % 3600) / 60)).padStart(2, '0')}`
/** Ten minutes of driving to the east of the yard, times `tens`: 10 km of the equator less a hair. */
const place = (tens: number) => ({ lat: 0, lon: 0.08983 * tens })

const stop = (
  key: string,
  tens: number | null,
  more: Partial<Omit<BoardStop, 'route'>> & { route?: Partial<RouteStop> } = {},
): BoardStop => ({
  fixedAt: null,
  storedAt: null,
  promised: null,
  planned: null,
  drive: null,
  pending: true,
  ...more,
  route: {
    key,
    kind: 'visit',
    position: tens === null ? null : place(tens),
    windows: [],
    service: 30 * MINUTE,
    needs: [],
    piece: null,
    rig: null,
    after: null,
    ...more.route,
  },
})
const promise = (
  opens: number,
  closes: number,
): Pick<BoardStop, 'promised'> & { route: { windows: TimeWindow[] } } => ({
  promised: { opens, closes },
  route: { windows: [{ opens, closes }] },
})
const lane = (key: string, stops: string[], more: Partial<Lane> = {}): Lane => ({
  rig: {
    key,
    payload_kg: 500,
    slots: 3,
    deck: null,
    tows: false,
    straps: 8,
    strapCounts: null,
    has: [],
    shift: { opens: at(8), closes: at(17) },
  },
  run: `run of ${key}`,
  locked: false,
  over: false,
  drives: true,
  from: null,
  current: false,
  slots: stops.map((each) => ({ stop: each, trip: 0 })),
  ...more,
})
const plan = (stops: BoardStop[], lanes: readonly Lane[], waiting: string[] = []): BoardPlan => ({
  day: {
    yard: place(0),
    loading: 0,
    leastTieDowns: 2,
    habits: { bands: [{ up_to: null, detour: 1, km_per_hour: 60 }], trailer: 1, per_stop: 0 },
  },
  stops: new Map(stops.map((each) => [each.route.key, each])),
  lanes,
  waiting,
})
const quill = stop('quill', 1, promise(at(9), at(9, 30)))
const tran = stop('tran', 2)
const finch = stop('finch', 3)
const board = plan([quill, tran, finch], [lane('blue', ['quill', 'tran']), lane('van', [])], ['finch'])

const rigOf = (from: BoardPlan, key: string) => from.lanes.find(({ rig }) => rig.key === key) as Lane
const seen = (from: BoardPlan, key: string) => viewLane(from, rigOf(from, key))
const times = (from: BoardPlan, key: string) =>
  seen(from, key).blocks.map((block) => [block.stop, clock(block.starts), clock(block.leaves)])
const made = (move: BoardMove | string): BoardMove => {
  if (typeof move === 'string') throw new Error(move)
  return move
}
const after = (from: BoardPlan, ...moves: (BoardMove | string)[]) => applyMoves(from, moves.map(made))
const order = (from: BoardPlan, key: string) => rigOf(from, key).slots.map((slot) => slot.stop)

test('a lane waits for the promised time and is home by the sum of drives and work', () => {
  expect(times(board, 'blue')).toEqual([
    ['quill', '9:00', '9:30'],
    ['tran', '9:40', '10:10'],
  ])
  const { blocks, home, homeDrive, check } = seen(board, 'blue')
  expect(blocks.map(({ drive }) => drive)).toEqual([600, 600])
  expect([clock(home), homeDrive]).toEqual(['10:30', 1200])
  expect(check?.faults).toEqual([])
})

test('five minutes later moves what follows, and within the promise nothing is off', () => {
  const moved = after(board, shiftStart(board, 'quill', 1))
  expect(times(moved, 'blue')).toEqual([
    ['quill', '9:05', '9:35'],
    ['tran', '9:45', '10:15'],
  ])
  expect(seen(moved, 'blue').blocks[0]?.off).toBe(0)
})

test('later than promised is told in seconds, earlier than promised below zero', () => {
  const late = after(board, { kind: 'start', stop: 'quill', at: at(9, 35) })
  expect(seen(late, 'blue').blocks[0]?.off).toBe(300)
  const early = after(board, { kind: 'start', stop: 'quill', at: at(8, 45) })
  expect(seen(early, 'blue').blocks[0]?.off).toBe(-900)
})

test('earlier than the drive allows is a fault, and the rest of the lane is still drawn', () => {
  // Tran can be reached at 9:40 at the earliest; fixed to 9:35, the rig is five minutes late.
  const moved = after(board, shiftStart(board, 'tran', -1))
  const { check, blocks } = seen(moved, 'blue')
  expect(check?.faults).toMatchObject([{ code: 'window', stop: 'tran', over: 300 }])
  expect(blocks.map((block) => clock(block.starts))).toEqual(['9:00', '9:40'])
})

test('a start between full five minutes goes to the next full one', () => {
  const odd = plan([stop('odd', 1, { fixedAt: at(10, 2) })], [lane('blue', ['odd'])])
  expect(shiftStart(odd, 'odd', 1)).toMatchObject({ at: at(10, 5) })
  expect(shiftStart(odd, 'odd', -1)).toMatchObject({ at: at(10) })
})

test('to the other rig it goes by its time, back by undoing the last move', () => {
  const moves = [made(shiftRig(board, 'tran', 1))]
  const moved = after(board, ...moves)
  expect([order(moved, 'blue'), order(moved, 'van')]).toEqual([['quill'], ['tran']])
  // 8:00 and 20 minutes of driving at the earliest; the work ends 8:50, home 9:10.
  expect([times(moved, 'van'), clock(seen(moved, 'van').home)]).toEqual([[['tran', '8:20', '8:50']], '9:10'])
  expect(applyMoves(board, moves.slice(0, -1))).toBe(board)
})

test('a start tried for one rig is void on the other, one that is stored is kept', () => {
  const tried = after(board, shiftStart(board, 'tran', 1))
  expect(tried.stops.get('tran')?.fixedAt).toBe(at(9, 45))
  expect(after(tried, shiftRig(tried, 'tran', 1)).stops.get('tran')?.fixedAt).toBeNull()
  const pinned = plan([stop('tran', 2, { fixedAt: at(10), storedAt: at(10) })], board.lanes, [])
  expect(after(pinned, shiftRig(pinned, 'tran', 1)).stops.get('tran')?.fixedAt).toBe(at(10))
})

test('a rig without a driver is passed over, and there may be none', () => {
  const idle = plan([tran], [lane('blue', ['tran']), lane('flat', [], { drives: false }), lane('van', [])])
  expect(shiftRig(idle, 'tran', 1)).toMatchObject({ rig: 'van' })
  expect(shiftRig(idle, 'tran', -1)).toBe('no_rig')
})

test('before and after a neighbor, across the visit to the yard, and not before what is done', () => {
  const two = plan(
    [stop('done', 1, { pending: false, planned: { starts: at(8), leaves: at(8, 30) } }), quill, tran, finch],
    [
      lane('blue', [], {
        slots: ['done', 'quill', 'tran', 'finch'].map((each, n) => ({ stop: each, trip: n < 3 ? 0 : 1 })),
      }),
    ],
  )
  const swapped = after(two, shiftOrder(two, 'quill', 1))
  expect(order(swapped, 'blue')).toEqual(['done', 'tran', 'quill', 'finch'])
  expect(rigOf(after(two, shiftOrder(two, 'tran', 1)), 'blue').slots).toEqual([
    { stop: 'done', trip: 0 },
    { stop: 'quill', trip: 0 },
    { stop: 'tran', trip: 1 },
    { stop: 'finch', trip: 1 },
  ])
  expect(shiftOrder(two, 'quill', -1)).toBe('no_neighbor')
  expect(shiftOrder(two, 'done', 1)).toBe('done')
})

test('left out it waits, and a locked lane keeps its stops until it is unlocked', () => {
  const out = after(board, leaveOut(board, 'tran'))
  expect([order(out, 'blue'), out.waiting]).toEqual([['quill'], ['finch', 'tran']])
  const locked = after(board, toggleLock(board, 'blue'))
  expect(shiftStart(locked, 'quill', 1)).toBe('locked')
  expect(after(locked, { kind: 'out', stop: 'quill' })).toBe(locked)
  expect(shiftStart(after(locked, toggleLock(locked, 'blue')), 'quill', 1)).toMatchObject({ kind: 'start' })
  expect(toggleLock(plan([], [lane('blue', [], { run: null })]), 'blue')).toBe('no_run')
})

test('a waiting stop gets the place that breaks nothing and costs least', () => {
  // Finch ten minutes north of Tran. In minutes of driving, Quill 10 and Tran 20 east of the yard: behind Tran
  // 10 + 10 + 10 + 22.4 = 52.4, between the two 10 + 14.1 + 10 + 20 = 54.1, first 22.4 + 14.1 + 10 + 20 = 66.5.
  const north = { ...finch, route: { ...finch.route, position: { lat: 0.0904, lon: place(2).lon } } }
  const only = { ...board, lanes: board.lanes.slice(0, 1), stops: new Map(board.stops).set('finch', north) }
  expect(order(after(only, bestPlace(only, 'finch')), 'blue')).toEqual(['quill', 'tran', 'finch'])
  const winch = { ...finch, route: { ...finch.route, rig: 'van' } }
  const pinned = { ...board, stops: new Map(board.stops).set('finch', winch) }
  expect(bestPlace(pinned, 'finch')).toMatchObject({ rig: 'van' })
})

test('planned times stand until something is moved; a machine without a weight is marked', () => {
  const planned = { starts: at(11), leaves: at(11, 40) }
  const known = stop('known', 1, { planned, drive: 777, route: { kind: 'pickup' } })
  const whole = plan([known, tran], [lane('blue', ['known'], { current: true }), lane('van', ['tran'])])
  const view = seen(whole, 'blue')
  expect(view.check).toBeNull()
  expect(view.blocks).toMatchObject([{ starts: at(11), leaves: at(11, 40), drive: 777, unweighed: true }])
  expect(clock(view.home)).toBe('11:50')
  const moved = after(whole, { kind: 'place', stop: 'tran', rig: 'blue', trip: 0, before: null })
  // On its own time the rig is at the first at 8:10, works 30 minutes and is at the second at 8:50.
  expect(times(moved, 'blue').map(([, starts]) => starts)).toEqual(['8:10', '8:50'])
  expect(seen(moved, 'blue').check?.noSize).toEqual(['known'])
})

test('without a position the drive is not known and takes no time', () => {
  const blind = plan([stop('where', null), tran], [lane('blue', ['where', 'tran'])])
  const { blocks, check } = seen(blind, 'blue')
  expect(blocks.map(({ drive, starts }) => [drive, clock(starts)])).toEqual([
    [null, '8:00'],
    [null, '8:30'],
  ])
  expect(check?.noPlace).toEqual(['where'])
})

test('the hours shown hold the shifts and what runs over them', () => {
  const long = after(board, { kind: 'start', stop: 'tran', at: at(17, 20) })
  // Done 17:50, home after 20 minutes: 18:10.
  const hours = hoursOf(
    long,
    long.lanes.map((each) => viewLane(long, each)),
  )
  expect(hours.map(clock)).toEqual(['8:00', '19:00'])
})

const sent = (before: BoardPlan, then: BoardPlan) =>
  commandsBetween(before, then, {
    day: '2026-11-30',
    newRun: (rig) => `new ${rig}`,
    pinsOf: () => ({ rig_id: null, after_id: null }),
  })

test('one stop that changes places is one command, wherever it goes', () => {
  const four = plan(
    ['a', 'b', 'c', 'd'].map((key, n) => stop(key, n)),
    [lane('blue', ['a', 'b', 'c', 'd'])],
  )
  const moved = after(four, { kind: 'place', stop: 'a', rig: 'blue', trip: 0, before: null })
  expect(order(moved, 'blue')).toEqual(['b', 'c', 'd', 'a'])
  expect(sent(four, moved)).toEqual([
    { name: 'move_stop', args: { id: 'a', run_id: 'run of blue', trip: 0, position: 3 } },
  ])
})

test('a rig without a run gets one, a locked run is opened for the move and locked again', () => {
  const shut = plan(
    [quill, tran],
    [lane('blue', ['quill', 'tran'], { locked: true }), lane('van', [], { run: null })],
  )
  const moved = after(
    shut,
    { kind: 'lock', rig: 'blue', locked: false },
    { kind: 'place', stop: 'tran', rig: 'van', trip: 0, before: null },
    { kind: 'start', stop: 'tran', at: at(10) },
    { kind: 'lock', rig: 'blue', locked: true },
  )
  expect(sent(shut, moved)).toEqual([
    { name: 'unlock_run', args: { id: 'run of blue' } },
    { name: 'open_run', args: { id: 'new van', rig_id: 'van', day: '2026-11-30' } },
    { name: 'move_stop', args: { id: 'tran', run_id: 'new van', trip: 0, position: 0 } },
    { name: 'pin_stop', args: { id: 'tran', rig_id: null, after_id: null, at: '1970-01-01T10:00:00.000Z' } },
    { name: 'lock_run', args: { id: 'run of blue' } },
  ])
})

test('moves that are undone send nothing, and one of a stop that is gone changes nothing', () => {
  const there = after(board, shiftRig(board, 'tran', 1))
  const back = after(there, { kind: 'place', stop: 'tran', rig: 'blue', trip: 0, before: null })
  expect(sent(board, back)).toEqual([])
  expect(after(board, { kind: 'out', stop: 'gone' })).toBe(board)
})

test('whatever is moved, the commands carried out as the server does give the draft', () => {
  const keys = ['a', 'b', 'c', 'd', 'e', 'f']
  const start = plan(
    keys.map((key, n) => stop(key, n)),
    [
      lane('blue', [], { slots: ['a', 'b', 'c'].map((each, n) => ({ stop: each, trip: n === 2 ? 1 : 0 })) }),
      lane('van', ['d', 'e']),
    ],
    ['f'],
  )
  let seed = 7
  const random = (below: number) => {
    seed = (seed * 1103515245 + 12345) % 2 ** 31
    return Math.floor((seed / 2 ** 31) * below)
  }
  for (let round = 0; round < 200; round++) {
    let draft = start
    for (let n = 0; n < 4; n++) {
      const key = keys[random(6)] ?? 'a'
      const by = random(2) ? 1 : -1
      const move = [shiftRig, shiftOrder, leaveOut][random(3)]?.(draft, key, by)
      if (typeof move === 'object') draft = applyMoves(draft, [move])
    }
    const rows = new Map(start.lanes.map(({ run, slots }) => [run, [...slots]]))
    for (const { name, args } of sent(start, draft)) {
      if (name !== 'move_stop') throw new Error(name)
      for (const [run, slots] of rows)
        rows.set(
          run,
          slots.filter((slot) => slot.stop !== args.id),
        )
      if (args.run_id == null) continue
      const row = rows.get(args.run_id) ?? []
      const trip = row.filter((slot) => slot.trip === args.trip)
      trip.splice(args.position ?? 0, 0, { stop: args.id, trip: args.trip ?? 0 })
      const rest = row.filter((slot) => slot.trip !== args.trip)
      rows.set(
        args.run_id,
        [...rest, ...trip].sort((one, other) => one.trip - other.trip),
      )
    }
    expect([...rows.values()]).toEqual(draft.lanes.map(({ slots }) => slots))
    expect(keys.filter((key) => laneOf(draft, key) === undefined).sort()).toEqual([...draft.waiting].sort())
  }
})
