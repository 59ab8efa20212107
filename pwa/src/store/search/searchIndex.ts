/** The search engine: words of rows, how well they match, and rows found by the rows they belong to. */
import { computed, type ReadonlySignal } from '@preact/signals'
import type { Kind, Rows } from '../../domain/contract'
import { isSameNumber } from '../../domain/customers/phoneNumber'
import { allOf } from '../rows/selectors'
import { likeness, wordsToFind } from './textMatch'

/** The most results of each kind. */
const MAX_RESULTS = 20

/** A row that matches, and how well: the sum of the scores of its words. */
export interface Found<Row> {
  row: Row
  sum: number
}

/** The score of each row of an index for one word; 0: no match. */
export type Scores = Uint8Array
const BY_DIGITS = 2
/** More than a word that is equal. */
const BY_NUMBER = 9

export interface SearchIndex<Row> {
  rows: readonly Row[]
  places: ReadonlyMap<string, number>
  /** Each word with the positions of its rows. */
  words: ReadonlyMap<string, readonly number[]>
  /** The digits of each row's numbers, for substring matches. */
  digits: readonly string[]
}

export function scoreRows({ rows, words, digits }: SearchIndex<unknown>, asked: string): Scores {
  const found = new Uint8Array(rows.length)
  for (const [word, places] of words) {
    const like = likeness(word, asked)
    if (like > 0) for (const place of places) if ((found[place] ?? 0) < like) found[place] = like
  }
  if (/^\d{3,}$/.test(asked))
    for (const [place, run] of digits.entries())
      if (run.split(' ').some((number) => isSameNumber(number, asked))) found[place] = BY_NUMBER
      else if (found[place] === 0 && run.includes(asked)) found[place] = BY_DIGITS
  return found
}

export type RelatedScores<Row> = readonly [SearchIndex<unknown>, Scores | undefined, (row: Row) => string]

/** A match of a row's customer or machine counts half. */
export function addRelated<Row>(
  { rows }: SearchIndex<Row>,
  own: Scores,
  ways: readonly RelatedScores<Row>[],
): Scores {
  for (const [{ places }, theirs, idOf] of ways) {
    if (!theirs?.some((like) => like > 0)) continue
    for (const [place, row] of rows.entries()) {
      const half = (theirs[places.get(idOf(row)) ?? -1] ?? 0) >> 1
      if ((own[place] ?? 0) < half) own[place] = half
    }
  }
  return own
}

/** Rows that match every word, best first, newer before older. */
export function bestMatches<Row extends { id: string }>(
  { rows }: SearchIndex<Row>,
  words: readonly Scores[],
  wanted: (row: Row) => boolean,
): Found<Row>[] {
  const hits: Found<Row>[] = []
  for (const [place, row] of rows.entries()) {
    let sum = 0
    for (const word of words) {
      const like = word[place] ?? 0
      if (like === 0) {
        sum = 0
        break
      }
      sum += like
    }
    if (sum > 0 && wanted(row)) hits.push({ row, sum })
  }
  hits.sort((a, b) => b.sum - a.sum || (a.row.id < b.row.id ? 1 : -1))
  return hits.slice(0, MAX_RESULTS)
}

export function indexed<K extends Kind>(
  kind: K,
  read: (row: Rows[K]) => { text: string[]; numbers: string[] },
): ReadonlySignal<SearchIndex<Rows[K]>> {
  const known = new WeakMap<object, { words: string[]; digits: string }>()
  const spell = (row: Rows[K]) => {
    const before = known.get(row)
    if (before) return before
    const { text, numbers } = read(row)
    const fresh = {
      words: wordsToFind(text.join(' ')),
      digits: numbers.map((part) => part.replaceAll(/\D/g, '')).join(' '),
    }
    known.set(row, fresh)
    return fresh
  }
  return computed(() => {
    const rows = allOf(kind)
    const places = new Map<string, number>()
    const words = new Map<string, number[]>()
    const digits: string[] = []
    for (const [place, row] of rows.entries()) {
      const spelt = spell(row)
      places.set(row.id, place)
      digits.push(spelt.digits)
      for (const word of spelt.words) {
        const found = words.get(word)
        if (found) found.push(place)
        else words.set(word, [place])
      }
    }
    return { rows, places, words, digits }
  })
}
