import type { PutBackRule, RemovalStep, SheetEntry } from '../contract.ts'

/** A rule that a sheet knows and that two steps of a job answer to. */
export interface KnownRule {
  entry_id: string
  before_id: string
  after_id: string
  reason: string
}

const plain = (text: string) => text.trim().toLowerCase().replace(/\s+/g, ' ')

/**
 * What sheets know about the order of a job's steps and the job has no rule about yet. A step answers to a name on a
 * sheet by what came off, or by that and where ("Cover, left"); of several steps with one name the first one does.
 */
export function knownRules(
  entries: readonly SheetEntry[],
  steps: readonly RemovalStep[],
  rules: readonly PutBackRule[],
): KnownRule[] {
  const names = ({ what, place }: RemovalStep) => [what, [what, place].filter(Boolean).join(', ')]
  const byName = new Map(
    steps.toReversed().flatMap((step) => names(step).map((name) => [plain(name), step.id] as const)),
  )
  const has = (a: string, b: string) =>
    rules.some(({ before_id, after_id }) => before_id === a && after_id === b)
  const found: KnownRule[] = []
  for (const { id, kind, first, second, words } of entries) {
    const [before_id, after_id] = [byName.get(plain(first)), byName.get(plain(second))]
    if (kind !== 'order' || !before_id || !after_id || before_id === after_id) continue
    const again = found.some((rule) => rule.before_id === before_id && rule.after_id === after_id)
    if (!again && !has(before_id, after_id) && !has(after_id, before_id))
      found.push({ entry_id: id, before_id, after_id, reason: words.slice(0, MOST_WORDS) })
  }
  return found
}

const MOST_WORDS = 200
