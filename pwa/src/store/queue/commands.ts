import type { Command, Commands, EDITS, Edit, MAKES, REMOVES, Rows } from '../../domain/contract'
import { newId } from '../browser/clock'
import { enqueue, enqueueAll } from './outbox'

type Makes = keyof typeof MAKES
type Edits = keyof typeof EDITS
type Removes = keyof typeof REMOVES
type WithoutId<Args> = Args extends unknown ? Omit<Args, 'id'> : never
/** The arguments of a creating command besides the row's id. */
export type NewRowFields<Name extends Makes> = WithoutId<Commands[Name]>
/** The fields that an edit may change. */
export type Changes<Name extends Edits> = Commands[Name]['set']

/** Queues a command that creates a row. Returns the row's id, which is made here. */
export async function sendAdd<Name extends Makes>(name: Name, fields: NewRowFields<Name>): Promise<string> {
  const id = newId()
  await enqueueAll([{ name, args: { id, ...fields } } as unknown as Command])
  return id
}

/** Queues an edit of the fields that differ from those the person saw; nothing when none does. */
export async function sendEdit<Name extends Edits>(
  name: Name,
  seen: Rows[(typeof EDITS)[Name]],
  wanted: Changes<Name>,
  together?: readonly (keyof typeof seen)[],
): Promise<void> {
  const args = editArgs(seen, wanted as Partial<typeof seen>, together)
  if (args) await enqueueAll([{ name, args } as unknown as Command])
}

/** Queues a command that deletes a row. */
export async function sendRemove(name: Removes, id: string): Promise<void> {
  await enqueue(name, { id })
}

/**
 * The arguments of an edit: only the fields that differ from what the person saw, each with the value seen. `null`
 * when nothing differs. Of fields that belong `together` all are sent once one differs.
 */
export function editArgs<Row extends { id: string }, Fields extends keyof Row>(
  seen: Row,
  wanted: Partial<Pick<Row, Fields>>,
  together: readonly Fields[] = [],
): Edit<Row, Pick<Row, Fields>> | null {
  const named = Object.keys(wanted) as Fields[]
  const differs = (field: Fields) => JSON.stringify(wanted[field]) !== JSON.stringify(seen[field])
  const whole = together.some((field) => field in wanted && differs(field))
  const changed = named.filter((field) => differs(field) || (whole && together.includes(field)))
  if (changed.length === 0) return null
  const base = Object.fromEntries(changed.map((field) => [field, seen[field]]))
  const set = Object.fromEntries(changed.map((field) => [field, wanted[field]]))
  return { id: seen.id, base, set } as unknown as Edit<Row, Pick<Row, Fields>>
}
