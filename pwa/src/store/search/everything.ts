import { computed } from '@preact/signals'
import type { Rows } from '../../domain/contract'
import { askedWords, customers, isCurrent, jobs, machines, scoreWords } from './search'
import { addRelated, bestMatches, type Found, indexed, scoreRows } from './searchIndex'
import { likeness, wordsToFind } from './textMatch'

const quotes = indexed('quote', (row) => ({
  text: [row.number ?? '', row.mark],
  numbers: [row.number ?? ''],
}))

const sites = indexed('site', (row) => ({ text: [row.label, row.address], numbers: [] }))

const stops = indexed('stop', (row) => ({ text: [row.place], numbers: [] }))

export type FoundKind = 'customer' | 'machine' | 'job' | 'quote' | 'stop'

/** The rows of one kind that match, best first. */
export type FoundGroup = {
  [K in FoundKind]: { readonly kind: K; readonly rows: readonly Rows[K][]; readonly best: number }
}[FoundKind]

/**
 * Everything that matches the typed text, the kind of the best match first: what `search` finds, quotes by their number and
 * their job, and stops by their place and their job. Works offline.
 */
export function searchEverything(query: string): FoundGroup[] {
  const asked = askedWords(query)
  if (asked.length === 0) return []
  const { byCustomer, byMachine, byJob } = scoreWords(asked)
  const byQuote = asked.map((word, at) =>
    addRelated(quotes.value, scoreRows(quotes.value, word), [[jobs.value, byJob[at], (row) => row.job_id]]),
  )
  const byStop = asked.map((word, at) =>
    addRelated(stops.value, scoreRows(stops.value, word), [
      [jobs.value, byJob[at], (row) => row.job_id ?? ''],
      [sites.value, scoreRows(sites.value, word), (row) => row.site_id ?? ''],
    ]),
  )
  const always = () => true
  return [
    group('job', bestMatches(jobs.value, byJob, always)),
    group('customer', bestMatches(customers.value, byCustomer, isCurrent)),
    group('machine', bestMatches(machines.value, byMachine, isCurrent)),
    group('quote', bestMatches(quotes.value, byQuote, always)),
    group(
      'stop',
      bestMatches(stops.value, byStop, ({ state }) => state !== 'dropped'),
    ),
  ]
    .filter(({ rows }) => rows.length > 0)
    .sort((a, b) => b.best - a.best)
}

function group<K extends FoundKind>(kind: K, found: readonly Found<Rows[K]>[]): FoundGroup {
  return { kind, rows: found.map(({ row }) => row), best: found[0]?.sum ?? 0 } as unknown as FoundGroup
}

/** Builds all indexes, so that the first letter typed is as fast as later ones. */
export const everythingIndexed = computed(() =>
  [customers, machines, jobs, quotes, sites, stops].reduce((sum, { value }) => sum + value.rows.length, 0),
)

/** Whether a text has something like one of the words asked for, as the search compares them. */
export function matches(text: string, asked: string): boolean {
  if (/^\d{3,}$/.test(asked) && text.replaceAll(/\D/g, '').includes(asked)) return true
  return wordsToFind(text).some((word) => likeness(word, asked) > 0)
}

/** A text in pieces, each with whether it is what was asked for. */
export function markMatches(text: string, query: string): [piece: string, matches: boolean][] {
  const asked = askedWords(query)
  const pieces = text.split(/(\s+)/).filter(Boolean)
  const marked = pieces.map((piece) => asked.some((word) => matches(piece, word)))
  // A number written in groups matches as a whole only.
  if (!marked.includes(true) && asked.some((word) => matches(text, word))) return [[text, true]]
  return pieces.map((piece, at) => [piece, marked[at] ?? false])
}

/** Of named texts, those by which a row was found although its title does not show it. */
export function whyFound(
  title: string,
  fields: readonly (readonly [name: string, text: string])[],
  query: string,
): (readonly [name: string, text: string])[] {
  const hidden = askedWords(query).filter((word) => !matches(title, word))
  const found = hidden.map((word) => fields.find(([, text]) => matches(text, word)))
  return [...new Set(found.filter((field) => field !== undefined))]
}
