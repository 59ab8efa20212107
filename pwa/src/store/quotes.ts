import type { Command, Commands, QuoteFields } from '../domain/commands'
import { ALL_FIGURES, inOrder } from '../domain/lines'
import type { PriceBook, Quote, QuoteLine } from '../domain/rows'
import { newId } from './clock'
import { editOf } from './editing'
import { current } from './opened'
import { enqueue, enqueueAll, mintMark } from './outbox'
import { byAge, of, one } from './shown'

export const quote = (id: string) => one('quote', id)

/** A job's quotes with all their revisions, oldest first. */
export const quotesOf = (job_id: string) => of('quote', 'job_id', job_id).sort(byAge)

/** A quote's lines in the order of their positions. */
export const linesOf = (quote_id: string): QuoteLine[] => inOrder(of('quote_line', 'quote_id', quote_id))

export const quoteLine = (id: string) => one('quote_line', id)

/** The labor of a job that its owner said yes to. */
export const agreedLabor = (job_id: string): QuoteLine[] =>
  quotesOf(job_id)
    .filter((row) => row.state === 'decided')
    .flatMap((row) => linesOf(row.id))
    .filter((line) => line.kind === 'labor' && line.decided === 'accepted')

export const approvalsOf = (quote_id: string) => of('approval', 'quote_id', quote_id).sort(byAge)
export const signature = (id: string) => one('signature', id)

/** Starts a quote, or a new revision of the one it replaces. */
export async function draftQuote(quote: Omit<Commands['draft_quote'], 'id' | 'mark'>): Promise<string> {
  const id = newId()
  await enqueue('draft_quote', { id, ...quote, mark: await mintMark(current().db) })
  return id
}

/** Starts the next revision of a quote with the same lines; the one before stands until this one is offered. */
export async function reviseQuote(before: Quote, basis: PriceBook): Promise<string> {
  const id = newId()
  const { job_id, kind, note, discount } = before
  const mark = await mintMark(current().db)
  const commands: Command[] = [
    { name: 'draft_quote', args: { id, job_id, kind, mark, basis, note, replaces_id: before.id } },
  ]
  if (discount.percent !== null || discount.minor !== null)
    commands.push({
      name: 'edit_quote',
      args: { id, base: { discount: { percent: null, minor: null } }, set: { discount } },
    })
  for (const line of linesOf(before.id))
    commands.push({ name: 'put_quote_line', args: lineFields({ ...line, id: newId(), quote_id: id }) })
  await enqueueAll(commands)
  return id
}

/** Changes the fields that differ from what the person saw. */
export async function editQuote(seen: Quote, wanted: Partial<Pick<Quote, QuoteFields>>): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_quote', edit)
}

type Line = Commands['put_quote_line']

const LINE_FIELDS: ReadonlySet<string> = new Set<keyof Line>([
  'id',
  'quote_id',
  'finding_id',
  'position',
  'kind',
  'rank',
  'words',
  'included',
  'found',
  ...ALL_FIGURES,
])

/** Puts a line on a quote, or writes over the whole line of that id; a stored row may be given as it is. */
export async function putQuoteLine(line: Omit<Line, 'id'> & { id?: string }): Promise<string> {
  const id = line.id ?? newId()
  await enqueue('put_quote_line', lineFields({ ...line, id }))
  return id
}

function lineFields(line: Line): Line {
  const fields = Object.entries(line).filter(([name, value]) => LINE_FIELDS.has(name) && value !== undefined)
  return Object.fromEntries(fields) as unknown as Line
}

export async function removeQuoteLine(id: string): Promise<void> {
  await enqueue('remove_quote_line', { id })
}

/** Fixes what is written now: the digest and the total say what the owner is about to be shown. */
export async function offerQuote(offer: Commands['offer_quote']): Promise<void> {
  await enqueue('offer_quote', offer)
}

/** Records what the owner decided on a quote that lies before them. */
export async function decideQuote(
  decision: Omit<Commands['decide_quote'], 'id' | 'signature'> & {
    signature?: Omit<NonNullable<Commands['decide_quote']['signature']>, 'id'>
  },
): Promise<string> {
  const id = newId()
  const { signature, ...rest } = decision
  await enqueue('decide_quote', {
    id,
    ...rest,
    ...(signature ? { signature: { id: newId(), ...signature } } : {}),
  })
  return id
}

export async function withdrawQuote(id: string): Promise<void> {
  await enqueue('withdraw_quote', { id })
}

export async function remakePaper(id: string): Promise<void> {
  await enqueue('remake_paper', { id })
}
