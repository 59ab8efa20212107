import type { Command, CommandName, PriceBook } from '../../domain/contract'
import { type ByCommand, EDITS, MAKES, REMOVES } from '../../domain/contract'
import type { OutboxEntry } from '../queue/entry'
import { currentCommand, currentName } from '../queue/formerCommands'
import type { ReplayRows } from '../rows/overlay'
import { type Area, COMMANDS_BY_AREA, type ReplaysOf } from './commandAreas'
import { addRow, editRow, type Replay, type ReplayContext } from './context'

const LOADERS: { [A in Area]: () => Promise<ReplaysOf<A>> } = {
  work: () => import('./areas/work').then(({ replays }) => replays),
  bench: () => import('./areas/bench').then(({ replays }) => replays),
  teardown: () => import('./areas/teardown').then(({ replays }) => replays),
  labor: () => import('./areas/labor').then(({ replays }) => replays),
  quotes: () => import('./areas/quotes').then(({ replays }) => replays),
  planning: () => import('./areas/planning').then(({ replays }) => replays),
  driving: () => import('./areas/driving').then(({ replays }) => replays),
  testing: () => import('./areas/testing').then(({ replays }) => replays),
  notices: () => import('./areas/notices').then(({ replays }) => replays),
}

const areaOf = new Map<CommandName, Area>()
for (const area of Object.keys(COMMANDS_BY_AREA) as Area[])
  for (const name of COMMANDS_BY_AREA[area]) areaOf.set(name, area)

const loaded = new Map<
  CommandName,
  (world: ReplayRows, args: OutboxEntry['args'], made: ReplayContext) => void
>()

/** Whether the replay code of these commands is loaded. */
export function hasReplays(entries: readonly Pick<OutboxEntry, 'name'>[]): boolean {
  const names = entries.map(({ name }) => currentName(name))
  return names.every((name) => !areaOf.has(name) || loaded.has(name))
}

/** Loads the replay code of these commands, or of all. Resolves also where some could not be loaded. */
export async function loadReplays(
  entries: readonly Pick<OutboxEntry, 'name'>[] = [...areaOf.keys()].map((name) => ({ name })),
): Promise<void> {
  const names = entries.map(({ name }) => currentName(name))
  const areas = new Set(names.flatMap((name) => (loaded.has(name) ? [] : (areaOf.get(name) ?? []))))
  await Promise.allSettled(
    [...areas].map(async (area) => {
      const [replays, { withDefaults }] = await Promise.all([
        LOADERS[area](),
        import('../../domain/commandDefaults'),
      ])
      for (const [name, run] of Object.entries(replays) as [CommandName, Replay<CommandName>][])
        loaded.set(name, (rows, args, context) => run(rows, withDefaults(name, args), context))
    }),
  )
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
  else replayByDefault(rows, command, context)
}

const makes: ByCommand = MAKES
const edits: ByCommand = EDITS
const removes: ByCommand = REMOVES

/** The default: creating commands make a row of defaults and arguments, edits change fields, removals delete. */
function replayByDefault(rows: ReplayRows, { name, args }: Command, context: ReplayContext): void {
  const [made_kind, edited, removed] = [makes[name], edits[name], removes[name]]
  if (made_kind) addRow(rows, made_kind, args, context)
  if (edited && 'set' in args) editRow(rows, edited, args.id, args.set, context)
  // Up to version 0.2.0 of the app the prices were a field of the shop.
  if (edited === 'shop' && 'set' in args && 'book' in args.set)
    editRow(rows, 'price_book', args.id, { prices: args.set.book as PriceBook['prices'] }, context)
  if (removed) rows.drop(removed, args.id)
}
