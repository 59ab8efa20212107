import { computed, type ReadonlySignal } from '@preact/signals'
import type { Customer, Job, Kind, Machine, Rows } from '../domain/rows'
import { all } from './shown'
import { likeness, wordsIn, wordsToFind } from './spelling'

export interface Found {
  customers: Customer[]
  machines: Machine[]
  jobs: Job[]
}

/** How many of each kind are given back at most: three lists of these are what a phone draws at once. */
const MOST = 20

const customers = indexed('customer', (row) => ({
  text: [row.name, row.person, row.email, row.address],
  numbers: [row.phone],
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
  numbers: [row.serial, row.engine_serial],
}))

const jobs = indexed('job', (row) => ({ text: [row.number ?? '', row.mark], numbers: [row.number ?? ''] }))

/**
 * Customers, machines and jobs that answer to what was typed, best first: names and numbers by their
 * beginning, with a slip or two in a longer word, phone and serial numbers by any run of digits. A
 * machine is also found by its owner, and a job by its machine and owner. Needs no signal.
 */
export function search(query: string): Found {
  const asked = wordsIn(query)
  if (asked.length === 0) return { customers: [], machines: [], jobs: [] }
  const byCustomer = asked.map((word) => answers(customers.value, word))
  const byMachine = asked.map((word, at) =>
    through(machines.value, answers(machines.value, word), [
      [customers.value, byCustomer[at], (row) => row.customer_id],
    ]),
  )
  const byJob = asked.map((word, at) =>
    through(jobs.value, answers(jobs.value, word), [
      [customers.value, byCustomer[at], (row) => row.customer_id],
      [machines.value, byMachine[at], (row) => row.machine_id],
    ]),
  )
  return {
    customers: best(customers.value, byCustomer, (row) => !row.archived),
    machines: best(machines.value, byMachine, (row) => !row.archived),
    jobs: best(jobs.value, byJob, () => true),
  }
}

/** Spells out all rows, one kind after another, so that the first letter typed is answered as fast as the next. */
export function readAhead(): void {
  for (const [turn, index] of [customers, machines, jobs].entries()) setTimeout(() => index.value, turn * 100)
}

/** How well each row of an index answers one word: 0 not at all. */
type Answers = Uint8Array
const BY_DIGITS = 2

interface Index<Row> {
  rows: readonly Row[]
  places: ReadonlyMap<string, number>
  /** Each word with the places of the rows that have it. */
  words: ReadonlyMap<string, readonly number[]>
  /** The digits of each row's numbers, in which any run may be asked for. */
  digits: readonly string[]
}

function answers({ rows, words, digits }: Index<unknown>, asked: string): Answers {
  const found = new Uint8Array(rows.length)
  for (const [word, places] of words) {
    const like = likeness(word, asked)
    if (like > 0) for (const place of places) if ((found[place] ?? 0) < like) found[place] = like
  }
  if (/^\d{3,}$/.test(asked))
    for (const [place, run] of digits.entries())
      if (found[place] === 0 && run.includes(asked)) found[place] = BY_DIGITS
  return found
}

type Way<Row> = readonly [Index<unknown>, Answers | undefined, (row: Row) => string]

/** What a row answers through its owner or its machine counts half of what these answer themselves. */
function through<Row>({ rows }: Index<Row>, own: Answers, ways: readonly Way<Row>[]): Answers {
  for (const [{ places }, theirs, idOf] of ways) {
    if (!theirs?.some((like) => like > 0)) continue
    for (const [place, row] of rows.entries()) {
      const half = (theirs[places.get(idOf(row)) ?? -1] ?? 0) >> 1
      if ((own[place] ?? 0) < half) own[place] = half
    }
  }
  return own
}

/** Rows that answer every word asked, best first, newer before older. */
function best<Row extends { id: string }>(
  { rows }: Index<Row>,
  words: readonly Answers[],
  wanted: (row: Row) => boolean,
): Row[] {
  const hits: { row: Row; sum: number }[] = []
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
  return hits.slice(0, MOST).map(({ row }) => row)
}

function indexed<K extends Kind>(
  kind: K,
  read: (row: Rows[K]) => { text: string[]; numbers: string[] },
): ReadonlySignal<Index<Rows[K]>> {
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
    const rows = all(kind)
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
