import { computed, type ReadonlySignal } from '@preact/signals'
import type { Customer, Job, Kind, Machine, Rows } from '../domain/rows'
import { all } from './shown'
import { distanceWithin, plainText, wordsIn, wordsToFind } from './spelling'

export interface Found {
  customers: Customer[]
  machines: Machine[]
  jobs: Job[]
}

/** How many of each kind are given back at most. */
const MOST = 60

interface Indexed<Row> {
  row: Row
  words: readonly string[]
  /** Digits of phone and serial numbers, in which any run may be asked for. */
  digits: string
}

const customers = indexed('customer', (row) => ({
  text: [row.name, row.person, row.email, row.address],
  digits: [row.phone],
}))

const machines = indexed('machine', (row) => ({
  text: [
    row.kind,
    row.make,
    row.model,
    row.serial,
    row.engine_make,
    row.engine_model,
    row.engine_serial,
    row.tag,
  ],
  digits: [row.serial, row.engine_serial],
}))

const jobs = indexed('job', (row) => ({
  text: [row.number ?? '', row.mark],
  digits: [row.number ?? ''],
}))

/**
 * Customers, machines and jobs that answer to what was typed, best first: names and numbers by their
 * beginning, with a slip or two in a longer word, phone and serial numbers by any run of digits. A
 * machine is also found by its owner, and a job by its machine and owner. Needs no signal.
 */
export function search(query: string): Found {
  const asked = wordsIn(query)
  if (asked.length === 0) return { customers: [], machines: [], jobs: [] }
  const ofCustomers = scores(customers.value, asked)
  const owned = (id: string) => ofCustomers.get(id) ?? NONE
  const ofMachines = scores(machines.value, asked, (row) => [owned(row.customer_id)])
  const known = (id: string) => ofMachines.get(id) ?? NONE
  const ofJobs = scores(jobs.value, asked, (row) => [owned(row.customer_id), known(row.machine_id)])
  return {
    customers: best(customers.value, ofCustomers, (row) => !row.archived),
    machines: best(machines.value, ofMachines, (row) => !row.archived),
    jobs: best(jobs.value, ofJobs, () => true),
  }
}

/** For each word asked, how well a row answers it: 0 not at all, 1 by digits, up to 4 for the whole word. */
type Score = readonly number[]
const NONE: Score = []
/** What a row answers through its owner or its machine counts a little less than what it answers itself. */
const SECOND_HAND = 0.5

function scores<Row extends { id: string }>(
  index: readonly Indexed<Row>[],
  asked: readonly string[],
  through: (row: Row) => readonly Score[] = () => [],
): Map<string, Score> {
  const found = new Map<string, Score>()
  for (const entry of index) {
    const others = through(entry.row)
    const score = asked.map((word, at) =>
      Math.max(answer(entry, word), ...others.map((other) => (other[at] ?? 0) * SECOND_HAND)),
    )
    if (score.some((part) => part > 0)) found.set(entry.row.id, score)
  }
  return found
}

function answer({ words, digits }: Indexed<unknown>, asked: string): number {
  let most = 0
  for (const word of words) {
    if (word === asked) return 4
    if (word.startsWith(asked)) most = Math.max(most, 3)
    else if (most < 2 && isNear(word, asked)) most = 2
  }
  if (most === 0 && /^\d{3,}$/.test(asked) && digits.includes(asked)) return 1
  return most
}

/** One slip in a word of four signs or more, two from eight on; never in a number. */
function isNear(word: string, asked: string): boolean {
  const slips = asked.length >= 8 ? 2 : asked.length >= 4 ? 1 : 0
  if (slips === 0 || /\d/.test(asked) || word.length < asked.length - slips) return false
  return distanceWithin(word.slice(0, asked.length + slips), asked, slips)
}

/** Rows that answer every word asked, best first; an older row gives way to a newer one. */
function best<Row extends { id: string }>(
  index: readonly Indexed<Row>[],
  found: ReadonlyMap<string, Score>,
  wanted: (row: Row) => boolean,
): Row[] {
  const hits: { row: Row; sum: number }[] = []
  for (const { row } of index) {
    const score = found.get(row.id)
    if (score?.every((part) => part > 0) && wanted(row))
      hits.push({ row, sum: score.reduce((sum, part) => sum + part, 0) })
  }
  hits.sort((a, b) => b.sum - a.sum || (a.row.id < b.row.id ? 1 : -1))
  return hits.slice(0, MOST).map(({ row }) => row)
}

function indexed<K extends Kind>(
  kind: K,
  read: (row: Rows[K]) => { text: string[]; digits: string[] },
): ReadonlySignal<Indexed<Rows[K]>[]> {
  const known = new WeakMap<object, Indexed<Rows[K]>>()
  return computed(() =>
    all(kind).map((row) => {
      const before = known.get(row)
      if (before) return before
      const { text, digits } = read(row)
      const fresh = {
        row,
        words: wordsToFind(text.join(' ')),
        digits: digits.map((part) => plainText(part).replaceAll(/\D/g, '')).join(' '),
      }
      known.set(row, fresh)
      return fresh
    }),
  )
}
