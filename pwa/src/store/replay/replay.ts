import type { CommandName } from '../../domain/contract'
import type { OutboxEntry } from '../queue/entry'
import { currentCommand, currentName } from '../queue/formerCommands'
import type { ReplayRows } from '../rows/overlay'
import { type Area, COMMANDS_BY_AREA, type ReplaysOf } from './commandAreas'
import type { Replay, ReplayContext } from './context'

const LOADERS: { [A in Area]: () => Promise<ReplaysOf<A>> } = {
  work: () => import('./areas/work').then(({ replays }) => replays),
  bench: () => import('./areas/bench').then(({ replays }) => replays),
  teardown: () => import('./areas/teardown').then(({ replays }) => replays),
  labor: () => import('./areas/labor').then(({ replays }) => replays),
  quotes: () => import('./areas/quotes').then(({ replays }) => replays),
  planning: () => import('./areas/planning').then(({ replays }) => replays),
  driving: () => import('./areas/driving').then(({ replays }) => replays),
  billing: () => import('./areas/billing').then(({ replays }) => replays),
  payments: () => import('./areas/payments').then(({ replays }) => replays),
  testing: () => import('./areas/testing').then(({ replays }) => replays),
  orders: () => import('./areas/orders').then(({ replays }) => replays),
  parts: () => import('./areas/parts').then(({ replays }) => replays),
  stock: () => import('./areas/stock').then(({ replays }) => replays),
  notices: () => import('./areas/notices').then(({ replays }) => replays),
}

const areaOf = new Map<CommandName, Area>()
for (const area of Object.keys(COMMANDS_BY_AREA) as Area[])
  for (const name of COMMANDS_BY_AREA[area]) areaOf.set(name, area)

const loaded = new Map<
  CommandName,
  (world: ReplayRows, args: OutboxEntry['args'], made: ReplayContext) => void
>()

/** The replay of the commands without an area, once it is loaded. */
let replayOneRow: typeof import('./oneRow').replayOneRow | undefined

/** Whether the replay code of these commands is loaded. */
export function hasReplays(entries: readonly Pick<OutboxEntry, 'name'>[]): boolean {
  const names = entries.map(({ name }) => currentName(name))
  return names.every((name) => (areaOf.has(name) ? loaded.has(name) : replayOneRow))
}

/** Loads the replay code of these commands, or of all. Resolves also where some could not be loaded. */
export async function loadReplays(
  entries: readonly Pick<OutboxEntry, 'name'>[] = [...areaOf.keys()].map((name) => ({ name })),
): Promise<void> {
  const names = entries.map(({ name }) => currentName(name))
  const areas = new Set(names.flatMap((name) => (loaded.has(name) ? [] : (areaOf.get(name) ?? []))))
  await Promise.allSettled([
    import('./oneRow').then((module) => {
      replayOneRow = module.replayOneRow
    }),
    ...[...areas].map(async (area) => {
      const [replays, { withDefaults }] = await Promise.all([
        LOADERS[area](),
        import('../../domain/commandDefaults'),
      ])
      for (const [name, run] of Object.entries(replays) as [CommandName, Replay<CommandName>][])
        loaded.set(name, (rows, args, context) => run(rows, withDefaults(name, args), context))
    }),
  ])
}

/**
 * Applies the expected effect of a pending command. Replay never fails: a command without its row or its code changes
 * nothing, and neither does one that the server has already executed.
 */
export function replay(
  rows: ReplayRows,
  entry: OutboxEntry,
  who: { member_id: string; device_id: string },
): void {
  const { id: command_id, wall: at, ahead_ms = 0 } = entry
  const context = { command_id, at, ahead_ms, ...who }
  const command = currentCommand(entry)
  if (areaOf.has(command.name)) loaded.get(command.name)?.(rows, command.args, context)
  else replayOneRow?.(rows, command, context)
}
