import type { Customer, Job, Machine, Quote, Rows, Stop } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { deskSearch as t } from '../../../domain/words/keys'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { type FoundGroup, type FoundKind, matches, whyFound } from '../../../store/search/everything'
import { askedWords } from '../../../store/search/search'
import { aboutStop, placeText } from '../../features/dispatch/stopText'
import { type KeyBinding, keysOf } from '../../keys'
import { machineName } from '../../names'
import type { Route } from '../../router'
import { format } from '../../shopFormat'

/** One line of the search: a row to open, or something to do. */
export interface Hit {
  readonly id: string
  readonly title: string
  readonly details?: string
  /** What matched although the title does not show it. */
  readonly why?: readonly (readonly [name: string, text: string])[]
  readonly keys?: string | undefined
  readonly to?: Route
  readonly act?: KeyBinding['act']
}

export interface HitGroup {
  readonly kind: keyof typeof t.kinds
  readonly hits: readonly Hit[]
  /** How many more match. */
  readonly more: number
}

/** Lines of a kind at first sight; more letters find the rest. */
const MOST_HITS = 5
const MOST_ACTS = 8

const nameOf = (row: Customer): string => row.name || row.phone || en.app.noName

/** The fields of a customer by which a row of theirs is found. */
const customerFields = (row: Customer | undefined) =>
  row
    ? ([
        [t.fields.customer, row.name],
        [t.fields.person, row.person],
        [t.fields.phone, row.phone],
        [t.fields.phone, row.second_phone ?? ''],
        [t.fields.email, row.email],
        [t.fields.address, row.address.replaceAll('\n', ', ')],
      ] as const)
    : []

const machineFields = (row: Machine | undefined) =>
  row
    ? ([
        [t.fields.machine, machineName(row)],
        [t.fields.serial, row.serial],
        [t.fields.engine, [row.engine_make, row.engine_model, row.engine_serial].filter(Boolean).join(' ')],
        [t.fields.tag, row.tag],
      ] as const)
    : []

type Line = Omit<Hit, 'id' | 'why'> & { fields: readonly (readonly [string, string])[] }

/** The customer and machine of a job, as its title and as what it may have been found by. */
function ofJob(row: Job | undefined) {
  const whose = row && customer(row.customer_id)
  const what = row && machine(row.machine_id)
  return {
    title: en.app.listed([whose?.name || en.app.noName, machineName(what)]),
    fields: [...customerFields(whose), ...machineFields(what)],
  }
}

const LINES: { [K in FoundKind]: (row: Rows[K]) => Line } = {
  job: (row: Job) => {
    const { title, fields } = ofJob(row)
    const due = row.promised_on ? en.today.promised(format.value.day(row.promised_on)) : ''
    return {
      title: `${shownName(row)} ${title}`,
      details: en.app.joined([en.stages[row.stage], due]),
      to: { at: 'job', id: row.id },
      fields,
    }
  },
  customer: (row: Customer) => ({
    title: nameOf(row),
    details: en.app.joined([row.phone, row.address.split('\n')[0]]),
    to: { at: 'customer', id: row.id },
    fields: customerFields(row),
  }),
  machine: (row: Machine) => ({
    title: machineName(row),
    details: en.app.joined([customer(row.customer_id)?.name, row.serial]),
    to: { at: 'machine', id: row.id },
    fields: [...machineFields(row), ...customerFields(customer(row.customer_id))],
  }),
  quote: (row: Quote) => {
    const { title, fields } = ofJob(job(row.job_id))
    return {
      title: `${shownName(row)} ${title}`,
      details: en.app.joined([
        en.quote.states[row.state],
        row.totals ? format.value.money(row.totals.total_minor) : '',
      ]),
      to: { at: 'quote', id: row.id },
      fields,
    }
  },
  stop: (row: Stop) => {
    const { fields } = ofJob(job(row.job_id ?? ''))
    const { name } = aboutStop(row)
    return {
      title: `${en.dispatch.kinds[row.kind]}: ${name}`,
      details: en.app.joined([
        placeText(row).replaceAll('\n', ', '),
        row.arrives_at ? format.value.moment(row.arrives_at) : '',
      ]),
      to: { at: 'stop', id: row.id },
      fields,
    }
  },
}

/** The lines of the rows found, each with why it was found. */
export function rowHits(groups: readonly FoundGroup[], query: string): HitGroup[] {
  return groups.map(({ kind, rows }) => ({
    kind,
    more: Math.max(0, rows.length - MOST_HITS),
    hits: rows.slice(0, MOST_HITS).map((row) => {
      const { fields, ...line } = (LINES[kind] as (row: unknown) => Line)(row)
      const shown = `${line.title} ${line.details ?? ''}`
      return { ...line, id: `${kind}-${row.id}`, why: whyFound(shown, fields, query) }
    }),
  }))
}

/** Whether an act leads to a screen, which is as often called to open it. */
const leads = (binding: KeyBinding): boolean => !keysOf(binding).some((keys) => !keys.startsWith('g '))

/** What can be done: with the customer found first, and whatever has the words asked for. */
export function actHits(
  acts: readonly KeyBinding[],
  found: readonly FoundGroup[],
  query: string,
): HitGroup[] {
  const asked = askedWords(query)
  const [first] = found.find(({ kind }) => kind === 'customer')?.rows ?? []
  const whose = first as Customer | undefined
  const own: Hit[] = whose
    ? [{ id: 'act-job', title: t.newJobFor(nameOf(whose)), to: { at: 'new-job', customerId: whose.id } }]
    : []
  const hits = acts
    .filter((each) => {
      const said = leads(each) ? `${each.label} ${t.open}` : each.label
      return asked.length > 0 && asked.every((word) => matches(said, word))
    })
    .map((each, at) => ({ id: `act-${at}`, title: each.label, keys: keysOf(each)[0], act: each.act }))
  const all = [...own, ...hits]
  return all.length > 0 ? [{ kind: 'act', hits: all.slice(0, MOST_ACTS), more: 0 }] : []
}
