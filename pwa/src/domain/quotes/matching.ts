/**
 * Which line of a revision a line of an earlier one became.
 *
 * Twin: `shopapi/quotes/rules/changes.py`; both run `fixtures/pricing/changes.json`.
 */

import { canonicalize } from '../canonicalJson.ts'
import type { OfferLine } from './offeredLines.ts'

/** One revision of a quote: its lines as offered. `signed`: its customer answered it. */
export interface OfferedRevision {
  readonly lines: readonly OfferLine[]
  readonly signed: boolean
}

/** By id of a line of a replaced quote: the line of the quote that replaced it. */
export type Successors = ReadonlyMap<string, string>

/**
 * By id of a line of an earlier revision: the id of the line of the last one that it became. Each revision is matched
 * with the next signed one, else with the last. What was taken out on the way is not there.
 */
export function successorsOf(revisions: readonly OfferedRevision[]): Map<string, string> {
  const found = new Map<string, string>()
  const last = revisions.at(-1)
  let after = last
  for (const revision of revisions.slice(0, -1).reverse()) {
    for (const [id, was] of match(revision.lines, after?.lines ?? [])) {
      const successor = after === last ? id : found.get(id)
      if (successor !== undefined) found.set(was.id, successor)
    }
    if (revision.signed) after = revision
  }
  return found
}

/** By id of a line of the revision: the line of the signed quote that it was. Each is matched once. */
export function match(before: readonly OfferLine[], after: readonly OfferLine[]): Map<string, OfferLine> {
  const found = new Map<string, OfferLine>()
  const taken = new Set<string>()
  for (const of of [content, name])
    for (const line of after) {
      const was = found.has(line.id)
        ? undefined
        : before.find((each) => !taken.has(each.id) && of(each) === of(line))
      if (!was) continue
      found.set(line.id, was)
      taken.add(was.id)
    }
  return found
}

/** What the customer reads of a line. */
export function content({ id, belongs_to, ...read }: OfferLine): string {
  return canonicalize(read)
}

const name = ({ kind, words }: OfferLine): string => canonicalize([kind, words])
