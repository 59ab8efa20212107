import type { Edit } from '../domain/commands'

/**
 * The command arguments of an edit: only the fields that differ from what the person saw, each with the
 * value seen. `null` when nothing differs.
 */
export function editOf<Row extends { id: string }, Fields extends keyof Row>(
  seen: Row,
  wanted: Partial<Pick<Row, Fields>>,
): Edit<Row, Fields> | null {
  const base: Partial<Pick<Row, Fields>> = {}
  const set: Partial<Pick<Row, Fields>> = {}
  for (const field of Object.keys(wanted) as Fields[]) {
    if (JSON.stringify(wanted[field]) === JSON.stringify(seen[field])) continue
    base[field] = seen[field]
    set[field] = wanted[field] as Row[Fields]
  }
  return Object.keys(set).length === 0 ? null : { id: seen.id, base, set }
}
