import type { CommandName, Commands } from '../domain/commands'
import type { Kind, Rows } from '../domain/rows'
import type { World } from './world'

/** What a replay knows besides the command: when it was made by the phone's clock, by whom, on which device. */
export interface Made {
  at: string
  member_id: string
  device_id: string
}

export type Replay<Name extends CommandName> = (world: World, args: Commands[Name], made: Made) => void
export type Replays<Name extends CommandName> = { [N in Name]: Replay<N> }

/** The fields every row has; those of the server's own row where it is already there. */
export function born(world: World, kind: Kind, id: string, made: Made) {
  return { id, created_at: world.get(kind, id)?.created_at ?? made.at, changed_at: made.at }
}

export function edit<K extends Kind>(
  world: World,
  kind: K,
  id: string,
  set: Partial<Rows[K]>,
  made: Made,
): void {
  const row = world.get(kind, id)
  if (row) world.put(kind, { ...row, ...set, changed_at: made.at })
}
