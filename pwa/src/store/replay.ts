import type { CommandName } from '../domain/commands'
import type { Entry } from './entry'
import type { Replay, Replays } from './made'
import { drivingReplays } from './replay.driving'
import { laborReplays } from './replay.labor'
import { noticeReplays } from './replay.notices'
import { planningReplays } from './replay.planning'
import { quoteReplays } from './replay.quotes'
import { shopReplays } from './replay.shop'
import { workReplays } from './replay.work'
import type { World } from './world'

const replays: Replays<CommandName> = {
  ...workReplays,
  ...laborReplays,
  ...quoteReplays,
  ...planningReplays,
  ...drivingReplays,
  ...noticeReplays,
  ...shopReplays,
}

/**
 * Shows what a pending command will do, before the server has done it. Replay never fails: a command
 * whose row is not here leaves the world as it is, and replaying one the server has already done
 * changes nothing.
 */
export function replay(world: World, entry: Entry, who: { member_id: string; device_id: string }): void {
  const run = replays[entry.name] as Replay<CommandName>
  run(world, entry.args, { at: entry.wall, ...who })
}
