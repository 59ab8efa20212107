import { doubtAbout, isRunning, overlap, stateOf } from '../domain/clock'
import type { CommandName, Work } from '../domain/commands'
import type { TimeEntry } from '../domain/rows'
import { moment } from '../domain/time'
import { born, type Made, type Replays } from './made'
import type { World } from './world'

export type LaborCommands = Extract<
  CommandName,
  'start_clock' | 'stop_clock' | 'add_entry' | 'correct_entry' | 'drop_entry' | 'settle_entries'
>

export const laborReplays: Replays<LaborCommands> = {
  start_clock: (world, { ends_ids, started_at, ...work }, made) => {
    // What the server has is not clocked a second time.
    if (world.get('time_entry', work.id)) return
    for (const entry of world.where('time_entry', 'member_id', made.member_id)) {
      const own = entry.device_id === made.device_id && entry.started_at < started_at
      if (isRunning(entry) && (own || ends_ids.includes(entry.id))) end(world, entry, started_at, made)
    }
    put(world, work.id, work, made, {
      member_id: made.member_id,
      device_id: made.device_id,
      started_at,
      ended_at: null,
      device_started_at: started_at,
      doubt: doubtAbout(started_at, null, Date.parse(made.at)),
    })
  },
  stop_clock: (world, args, made) => {
    const entry = living(world, args.id)
    if (entry && isRunning(entry)) end(world, entry, args.ended_at, made)
  },
  add_entry: (world, { member_id, started_at, ended_at, reason, ...work }, made) => {
    if (world.get('time_entry', work.id)) return
    put(world, work.id, work, made, {
      member_id: member_id ?? made.member_id,
      device_id: null,
      started_at,
      ended_at,
      reason,
    })
  },
  correct_entry: (world, { entry_id, started_at, ended_at, reason, ...work }, made) => {
    const old = world.get('time_entry', entry_id)
    if (!old || old.state === 'replaced' || world.get('time_entry', work.id)) return
    replaceBy(world, old, made)
    put(world, work.id, work, made, {
      ...old,
      started_at,
      ended_at,
      ...(started_at !== old.started_at && { device_started_at: null, start_skew_ms: 0 }),
      ...(ended_at !== old.ended_at && { device_ended_at: null, end_skew_ms: 0 }),
      reason,
      doubt: '',
      corrects_id: old.id,
    })
  },
  drop_entry: (world, args, made) => {
    const entry = world.get('time_entry', args.id)
    if (!entry || entry.state === 'replaced') return
    const reason = entry.reason ? `${entry.reason}; taken out: ${args.reason}` : args.reason
    replaceBy(world, { ...entry, reason }, made)
  },
  settle_entries: (world, { id, other_id, split, reason }, made) => {
    const entry = world.get('time_entry', id)
    const other = other_id === undefined ? undefined : world.get('time_entry', other_id)
    if (!entry || entry.state === 'replaced' || other?.state === 'replaced') return
    if (other_id === undefined) return weigh(world, { ...entry, doubt: '' }, made)
    if (!other) return
    if (!split) {
      replaceBy(world, other, made)
      return weigh(world, { ...entry, doubt: entry.doubt === 'ends_first' ? 'ends_first' : '' }, made)
    }
    const entryFirst = entry.started_at <= other.started_at
    const [first, second] = entryFirst ? [entry, other] : [other, entry]
    const [first_id, second_id] = entryFirst ? [split.id, split.other_id] : [split.other_id, split.id]
    replaceBy(world, entry, made)
    replaceBy(world, other, made)
    const why = { reason: reason ?? '', doubt: '' } as const
    putEntry(world, first_id, made, {
      ...first,
      ...why,
      ended_at: split.at,
      device_ended_at: null,
      end_skew_ms: 0,
      corrects_id: first.id,
    })
    putEntry(world, second_id, made, {
      ...second,
      ...why,
      started_at: split.at,
      device_started_at: null,
      start_skew_ms: 0,
      corrects_id: second.id,
    })
  },
}

/** The entry that took the place of one, if any did. */
function living(world: World, id: string): TimeEntry | undefined {
  const entry = world.get('time_entry', id)
  if (entry?.state !== 'replaced') return entry
  const follower = world
    .where('time_entry', 'member_id', entry.member_id)
    .find((found) => found.corrects_id === id)
  return follower && living(world, follower.id)
}

/** Ends an entry; what was taken off the beginning for a wrong clock is taken off the end by the same phone too. */
function end(world: World, entry: TimeEntry, stamp: string, made: Made): void {
  const skew = entry.device_id === made.device_id ? entry.start_skew_ms : 0
  const at = skew === 0 ? stamp : moment(Date.parse(stamp) - skew)
  const doubt = doubtAbout(entry.started_at, at, Date.parse(made.at))
  weigh(
    world,
    { ...entry, ended_at: doubt === 'ends_first' ? null : at, device_ended_at: stamp, doubt },
    made,
  )
}

type Rest = Pick<TimeEntry, 'member_id' | 'device_id' | 'started_at' | 'ended_at'> & Partial<TimeEntry>

function put(world: World, id: string, work: Work, made: Made, rest: Rest): void {
  const { kind, job_id, operation, line_id, cause, repairs_id } = work
  putEntry(world, id, made, {
    device_started_at: null,
    device_ended_at: null,
    start_skew_ms: 0,
    end_skew_ms: 0,
    reason: '',
    doubt: '',
    corrects_id: null,
    ...rest,
    kind,
    job_id,
    operation,
    line_id,
    cause: cause ?? '',
    repairs_id,
  })
}

type Fields = Omit<TimeEntry, 'id' | 'created_at' | 'changed_at' | 'state'>

function putEntry(world: World, id: string, made: Made, fields: Fields): void {
  if (world.get('time_entry', id)) return
  weigh(world, { ...fields, ...born(world, 'time_entry', id, made), state: 'open' }, made)
}

function replaceBy(world: World, entry: TimeEntry, made: Made): void {
  weigh(world, { ...entry, state: 'replaced' }, made)
}

/** Puts an entry, and every entry of the member that it touches or touched, into the state it has beside the others. */
function weigh(world: World, entry: TimeEntry, made: Made): void {
  const before = world.get('time_entry', entry.id)
  const others = world
    .where('time_entry', 'member_id', entry.member_id)
    .filter((other) => other.id !== entry.id && other.state !== 'replaced')
  const live = entry.state === 'replaced' ? others : [entry, ...others]
  for (const other of others) {
    if (!overlap(entry, other) && !(before && overlap(before, other))) continue
    const state = stateOf(other, live)
    if (state !== other.state) world.put('time_entry', { ...other, state, changed_at: made.at })
  }
  const state = entry.state === 'replaced' ? 'replaced' : stateOf(entry, live)
  world.put('time_entry', { ...entry, state, changed_at: made.at })
}
