import type { Approval, Command, Commands, Quote, QuoteLine, TaxProfileInput } from '../domain/contract'
import type { ShopPrices } from '../domain/quotes/book'
import { ALL_FIGURES, inOrder } from '../domain/quotes/lines'
import { newId } from './browser/clock'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { enqueue, enqueueAll, newProvisionalMark } from './queue/outbox'
import { byAge, byId, ownedBy } from './rows/selectors'
import { requireShopSession } from './session/shopSession'

export const quote = (id: string) => byId('quote', id)

/** A job's quotes with all their revisions, oldest first. */
export const quotesOf = (job_id: string) => ownedBy('quote', 'job_id', job_id).sort(byAge)

/** A quote's lines in the order of their positions. */
export const linesOf = (quote_id: string): QuoteLine[] => inOrder(ownedBy('quote_line', 'quote_id', quote_id))

export const quoteLine = (id: string) => byId('quote_line', id)

/** The decided quotes that count: a decided one is replaced once its revision is decided. */
export const decidedQuotes = (job_id: string) => quotesOf(job_id).filter(({ state }) => state === 'decided')

/** The revision of a quote that was begun and not withdrawn. */
export const revisionOf = ({ id, job_id }: Quote): Quote | undefined =>
  quotesOf(job_id).find((row) => row.replaces_id === id && row.state !== 'withdrawn')

/** Whether a quote counts for nothing yet, because the decided one that it revises still counts. */
export function isPendingRevision({ state, replaces_id }: Quote): boolean {
  const before = state !== 'decided' && replaces_id !== null && quote(replaces_id)
  return before ? before.state === 'decided' || isPendingRevision(before) : false
}

/** The quote that a revision was signed as before, whatever is undecided in between, with its decision. */
export function signedBefore({ replaces_id }: Quote): { quote: Quote; approval: Approval } | null {
  const before = replaces_id === null ? undefined : quote(replaces_id)
  if (!before) return null
  const approval = approvalsOf(before.id).find(({ matches }) => matches)
  return approval ? { quote: before, approval } : signedBefore(before)
}

/** The accepted labor lines of a job. */
export const agreedLabor = (job_id: string): QuoteLine[] =>
  decidedQuotes(job_id)
    .flatMap((row) => linesOf(row.id))
    .filter((line) => line.kind === 'labor' && line.decided === 'accepted')

export const approvalsOf = (quote_id: string) => ownedBy('approval', 'quote_id', quote_id).sort(byAge)
export const signature = (id: string) => byId('signature', id)

/** Starts a quote, or a new revision of the one it replaces. */
export const draftQuote = async (fields: Omit<NewRowFields<'draft_quote'>, 'mark'>) =>
  sendAdd('draft_quote', { ...fields, mark: await newProvisionalMark(requireShopSession().db) })

/** Starts the next revision of a quote with the same lines; the one before is valid until this one is offered, a decided one until it is decided. */
export async function reviseQuote(before: Quote, basis: ShopPrices): Promise<string> {
  const id = newId()
  const { job_id, kind, note, discount } = before
  const mark = await newProvisionalMark(requireShopSession().db)
  const commands: Command[] = [
    { name: 'draft_quote', args: { id, job_id, kind, mark, basis, note, replaces_id: before.id } },
  ]
  if (discount.percent !== null || discount.minor !== null)
    commands.push({
      name: 'edit_quote',
      args: { id, base: { discount: { percent: null, minor: null } }, set: { discount } },
    })
  const lines = linesOf(before.id)
  const ids = new Map(lines.map((line) => [line.id, newId()]))
  const revised = (old: string) => ids.get(old) ?? old
  for (const line of lines) {
    const belongs_to_id = line.belongs_to_id ? revised(line.belongs_to_id) : null
    const args = lineFields({ ...line, belongs_to_id, id: revised(line.id), quote_id: id })
    commands.push({ name: 'put_quote_line', args })
  }
  await enqueueAll(commands)
  return id
}

export const editQuote = (seen: Quote, wanted: Changes<'edit_quote'>) => sendEdit('edit_quote', seen, wanted)

type LineArgs = Commands['put_quote_line']

const LINE_FIELDS: ReadonlySet<string> = new Set<keyof LineArgs>([
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

/** Adds a line to a quote, or replaces the whole line of that id; accepts a stored row. */
export async function putQuoteLine(line: Omit<LineArgs, 'id'> & { id?: string }): Promise<string> {
  const id = line.id ?? newId()
  await enqueue('put_quote_line', lineFields({ ...line, id }))
  return id
}

function lineFields(line: LineArgs): LineArgs {
  const fields = Object.entries(line).filter(([name, value]) => LINE_FIELDS.has(name) && value !== undefined)
  return Object.fromEntries(fields) as unknown as LineArgs
}

export const removeQuoteLine = (id: string) => sendRemove('remove_quote_line', id)

/** Changes the tax profile of a draft. */
export async function chooseTaxProfile(id: string, tax_profile: TaxProfileInput): Promise<void> {
  await enqueue('choose_tax_profile', { id, tax_profile })
}

/** Offers a quote: digest and total are those of the document that the customer is about to see. */
export async function offerQuote(offer: Commands['offer_quote']): Promise<void> {
  await enqueue('offer_quote', offer)
}

/** Records the customer's decision on an offered quote. */
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

export async function remakePdf(id: string): Promise<void> {
  await enqueue('remake_pdf', { id })
}
