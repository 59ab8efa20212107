import type { Customer, Job, Machine } from '../../domain/contract'
import { phoneDigits } from '../../domain/customers/phoneNumber'
import { addRelated, bestMatches, indexed, scoreRows } from './searchIndex'
import { wordsIn } from './textMatch'

export interface SearchResult {
  customers: Customer[]
  machines: Machine[]
  jobs: Job[]
}

export const customers = indexed('customer', (row) => ({
  text: [row.name, row.person, row.email, row.address],
  numbers: [row.phone, row.second_phone ?? ''],
}))

export const machines = indexed('machine', (row) => ({
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

export const jobs = indexed('job', (row) => ({
  text: [row.number ?? '', row.mark],
  numbers: [row.number ?? ''],
}))

/**
 * Customers, machines and jobs that match the typed text, best first: names and numbers by prefix, with one or two
 * typos in a longer word, phone and serial numbers by any sequence of digits. A machine is also found by its customer,
 * and a job by its machine and customer. A whole telephone number finds its customers first, however it is written.
 * Works offline.
 */
export function search(query: string): SearchResult {
  const { byCustomer, byMachine, byJob } = scoreWords(askedWords(query))
  const rowsOf = <Row>(found: readonly { row: Row }[]) => found.map(({ row }) => row)
  return {
    customers: rowsOf(bestMatches(customers.value, byCustomer, isCurrent)),
    machines: rowsOf(bestMatches(machines.value, byMachine, isCurrent)),
    jobs: rowsOf(bestMatches(jobs.value, byJob, () => true)),
  }
}

export const isCurrent = ({ archived }: { archived: boolean }) => !archived

/** The words to look for: a telephone number is one, however it is written. */
export function askedWords(query: string): string[] {
  const number = phoneDigits(query)
  return number ? [number] : wordsIn(query)
}

/** How well each row matches each word by itself, and by its customer and machine. */
export function scoreWords(asked: readonly string[]) {
  const byCustomer = asked.map((word) => scoreRows(customers.value, word))
  const byMachine = asked.map((word, at) =>
    addRelated(machines.value, scoreRows(machines.value, word), [
      [customers.value, byCustomer[at], (row) => row.customer_id],
    ]),
  )
  const byJob = asked.map((word, at) =>
    addRelated(jobs.value, scoreRows(jobs.value, word), [
      [customers.value, byCustomer[at], (row) => row.customer_id],
      [machines.value, byMachine[at], (row) => row.machine_id],
    ]),
  )
  return { byCustomer, byMachine, byJob }
}

/** Builds the indexes, one kind after another, so that the first search is as fast as later ones. */
export function buildIndexes(): void {
  for (const [turn, index] of [customers, machines, jobs].entries()) setTimeout(() => index.value, turn * 100)
}
