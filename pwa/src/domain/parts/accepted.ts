// Parts on lines of a quote that a customer accepted, and the needs that follow from them.
// Twin: `shopapi/parts/rules/accepted.py`; both run `fixtures/parts/accepted.json`.

import type { PartNeed, QuoteLine } from '../contract.ts'
import { compare, exact } from '../numbers/decimal.ts'

export type AcceptedPart = Pick<
  PartNeed,
  'number' | 'description' | 'quantity' | 'finding_id' | 'cost_minor' | 'agreed_minor' | 'core_minor'
> & { readonly line_id: string }

export type KnownNeed = Pick<PartNeed, 'id' | 'line_id' | 'number' | 'description' | 'state'>

export interface NeedsToFollow {
  added: AcceptedPart[]
  takenOver: Map<string, AcceptedPart>
  cancelled: string[]
}

const LONGEST_NUMBER = 60
const LONGEST_DESCRIPTION = 120
const cut = (text: string, longest: number): string => [...text].slice(0, longest).join('')

/** A part with its number and description as a need has them. */
export const asNeeded = (part: AcceptedPart): AcceptedPart => ({
  ...part,
  number: cut(part.number, LONGEST_NUMBER),
  description: cut(part.description, LONGEST_DESCRIPTION),
})

/** The part that a line of a quote offers, at the price agreed for one; null: not agreed. */
export const partOfLine = (line: QuoteLine, agreed_minor: number | null): AcceptedPart => ({
  line_id: line.id,
  number: line.part_number ?? '',
  description: line.words,
  quantity: line.quantity ?? '1',
  finding_id: line.finding_id,
  cost_minor: line.unit_cost_minor,
  agreed_minor,
  core_minor: line.core_minor ?? 0,
})

/** What a decision changes about the needs of its job. `formerLines`: of the revisions that the quote replaces. */
export function needsToFollow(
  accepted: readonly AcceptedPart[],
  known: readonly KnownNeed[],
  formerLines: ReadonlySet<string>,
): NeedsToFollow {
  const added: AcceptedPart[] = []
  const takenOver = new Map<string, AcceptedPart>()
  const wasOffered = ({ line_id }: KnownNeed) => line_id !== null && formerLines.has(line_id)
  for (const part of accepted.map(asNeeded)) {
    const own = known.filter(({ id, line_id }) => part.line_id === id || part.line_id === line_id)
    const same = known.filter(
      (need) => wasOffered(need) && need.number === part.number && need.description === part.description,
    )
    const free = (own.length ? own : same).find(({ id }) => !takenOver.has(id))
    if (free) takenOver.set(free.id, part)
    else if (compare(exact(part.quantity), exact(0)) > 0) added.push(part)
  }
  const left = known.filter((need) => wasOffered(need) && !takenOver.has(need.id))
  return { added, takenOver, cancelled: left.filter(({ state }) => state === 'wanted').map(({ id }) => id) }
}
