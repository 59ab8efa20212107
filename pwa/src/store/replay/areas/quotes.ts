import {
  ASKING_MESSAGES,
  type Commands,
  type Decision,
  PRICE_PARTS,
  type PriceBook,
  type Quote,
  type QuoteLine,
  type QuoteTotals,
} from '../../../domain/contract'
import { msOfWallTime as wallInstant } from '../../../domain/labor/clock'
import { checkLines } from '../../../domain/quotes/checks'
import { following, unconfirmed, withConfirmed } from '../../../domain/quotes/confirmed'
import { isAsked, questionOf } from '../../../domain/quotes/lines'
import { computeTotals } from '../../../domain/quotes/totals'
import { quoteMayBecome } from '../../../domain/states'
import { type Day, daysAfter, moment } from '../../../domain/time'
import type { ReplayRows } from '../../rows/overlay'
import { needPartsOf } from '../acceptedParts'
import type { ReplaysOf } from '../commandAreas'
import {
  addRow,
  correctedTime,
  dayAt,
  editRow,
  type ReplayContext,
  settingFields,
  withholdUnsent,
  zoneOf,
} from '../context'
import { plainFigures } from '../plainFigures'
import { setWait } from '../waits'

export const replays: ReplaysOf<'quotes'> = {
  edit_price_book: editPrices,
  draft_quote: (rows, args, context) => {
    if (rows.get('quote', args.id)) return
    const before = args.replaces_id === null ? undefined : rows.get('quote', args.replaces_id)
    const revision = before ? lastRevision(rows, before) + 1 : 1
    const pdf = { state: 'none', reason: null, url: null, bytes: null } as const
    const basis = args.basis as Quote['basis']
    addRow(rows, 'quote', { ...args, basis, number: before?.number ?? null, revision, pdf }, context)
  },
  edit_quote: (rows, args, context) => {
    editRow(rows, 'quote', args.id, args.set, context)
    addUp(rows, args.id, context)
  },
  choose_tax_profile: (rows, args, context) => {
    const quote = rows.get('quote', args.id)
    if (quote?.state !== 'draft') return
    editRow(
      rows,
      'quote',
      quote.id,
      { basis: { ...quote.basis, tax_profiles: [args.tax_profile] } as Quote['basis'] },
      context,
    )
    addUp(rows, quote.id, context)
  },
  put_quote_line: (rows, args, context) => {
    const known = rows.get('quote_line', args.id)
    // The whole line is replaced: fields left out are removed.
    if (known) rows.drop('quote_line', args.id)
    // An app from before these figures leaves them out.
    const kept = known && {
      created_at: known.created_at,
      decided: known.decided,
      belongs_to_id: known.belongs_to_id,
      apart: known.apart,
      agreed: known.agreed,
      part_number: known.part_number,
    }
    addRow(rows, 'quote_line', { ...kept, ...args, ...plainFigures(args) }, context)
    addUp(rows, args.quote_id, context)
  },
  remove_quote_line: (rows, args, context) => {
    const line = rows.get('quote_line', args.id)
    if (!line) return
    rows.drop('quote_line', line.id)
    addUp(rows, line.quote_id, context)
  },
  offer_quote: (rows, args, context) => {
    const quote = rows.get('quote', args.id)
    if (!quote || !quoteMayBecome(quote.state, 'offered')) return
    const before = quote.replaces_id === null ? undefined : rows.get('quote', quote.replaces_id)
    if (before?.state === 'offered' || before?.state === 'lapsed')
      editRow(rows, 'quote', before.id, { state: 'replaced' }, context)
    const { valid_until, digest } = args
    const shown = args.shown ? { language: 'en' as const, ...args.shown } : null
    const offered_at = correctedTime(context.at, context)
    const offer = { state: 'offered', valid_until, offered_at, offer_digest: digest, shown } as const
    const totals = totalsOf(rows, { ...quote, ...offer })
    editRow(rows, 'quote', quote.id, { ...offer, totals, pdf: PDF_ASKED_FOR }, context)
    deriveWaits(rows, quote, context)
  },
  decide_quote: (rows, { signature, ...args }, context) => {
    const quote = rows.get('quote', args.quote_id)
    if (!quote || rows.get('approval', args.id)) return
    const decided_at = correctedTime(args.decided_at, context)
    const lines = rows.where('quote_line', 'quote_id', quote.id)
    const matches = isAboutTheOffer(quote, lines, args, dayAt(rows, decided_at))
    // Discounts and agreed costs are not asked: they count.
    const counted = [...args.accepted_ids, ...lines.filter((line) => !isAsked(line)).map(({ id }) => id)]
    const totals = matches ? totalsOf(rows, quote, new Set(counted)) : null
    addRow(
      rows,
      'approval',
      {
        ...args,
        decided_at,
        matches,
        accepted_total_minor: totals?.total_minor ?? null,
        accepted_labor_minor: totals && sumOf('labor', totals, lines),
        accepted_parts_minor: totals && sumOf('part', totals, lines),
        signature_id: signature?.id ?? null,
      },
      context,
    )
    if (signature) {
      const { decided_by_name: signer_name, digest } = args
      addRow(rows, 'signature', { ...signature, signer_name, digest }, context)
    }
    if (!matches) return
    decideLines(rows, lines, counted, 'accepted', context)
    decideLines(rows, lines, args.declined_ids, 'declined', context)
    decideFindings(rows, lines, args, context)
    editRow(rows, 'quote', quote.id, { state: 'decided', pdf: PDF_ASKED_FOR }, context)
    replaceDecidedBefore(rows, quote, context)
    withholdUnsent(rows, quote.id, ASKING_MESSAGES, context)
    deriveWaits(rows, quote, context)
    needPartsOf(rows, quote, context)
  },
  withdraw_quote: (rows, args, context) => {
    const quote = rows.get('quote', args.id)
    if (!quote || !quoteMayBecome(quote.state, 'withdrawn')) return
    editRow(rows, 'quote', quote.id, { state: 'withdrawn' }, context)
    withholdUnsent(rows, quote.id, ASKING_MESSAGES, context)
    deriveWaits(rows, quote, context)
  },
  remake_pdf: settingFields(
    'quote',
    () => ({ pdf: PDF_ASKED_FOR }),
    ({ state }) => state !== 'draft',
  ),
  send_approval_request: (rows, args, context) => {
    const quote = rows.get('quote', args.quote_id)
    // A quote that was never offered has no expiry. Fields of a request set by the server stay.
    if (!quote?.valid_until || rows.get('approval_link', args.id)) return
    const { revision, valid_until } = quote
    const name = args.name?.trim() ?? ''
    const expires_at = moment(endOf(rows, valid_until))
    addRow(rows, 'approval_link', { ...args, name, revision, expires_at }, context)
  },
  revoke_approval_link: settingFields(
    'approval_link',
    (_, context) => ({ revoked_at: correctedTime(context.at, context) }),
    ({ used_at, revoked_at }) => used_at === null && revoked_at === null,
  ),
  answer_customer_question: settingFields(
    'customer_question',
    (_, context) => ({ answered_at: correctedTime(context.at, context), answered_by_id: context.member_id }),
    ({ answered_at }) => answered_at === null,
  ),
}

/** Changes the prices, adds up what is confirmed, and lets drafts follow what is confirmed for the first time. */
function editPrices(
  rows: ReplayRows,
  { id, set }: Commands['edit_price_book'],
  context: ReplayContext,
): void {
  const book = rows.get('price_book', id)
  if (!book) return
  const { prices = book.prices, confirmed: looked_at = set.prices ? PRICE_PARTS : [] } = set
  const confirmed = withConfirmed(book.confirmed, looked_at)
  editRow(rows, 'price_book', id, { prices: prices as PriceBook['prices'], confirmed }, context)
  const first = unconfirmed(book.confirmed).filter((part) => confirmed.includes(part))
  if (!first.length) return
  const on = dayAt(rows, correctedTime(context.at, context))
  for (const quote of rows.all('quote')) {
    if (quote.state !== 'draft') continue
    const basis = following(quote.basis, prices, first, on) as Quote['basis']
    editRow(rows, 'quote', quote.id, { basis }, context)
    addUp(rows, quote.id, context)
  }
}

const PDF_ASKED_FOR = { state: 'waiting', reason: null, url: null, bytes: null } as const

/** The end of a day in the shop's zone, in ms since 1970. */
function endOf(rows: ReplayRows, day: Day): number {
  const next = daysAfter(day, 1)
  return wallInstant(zoneOf(rows), { day: next, time: '00:00' }) ?? Date.parse(`${next}T00:00:00Z`)
}

/** The highest revision that a quote has had, withdrawn ones too. */
function lastRevision(rows: ReplayRows, quote: Quote): number {
  const same = rows
    .where('quote', 'job_id', quote.job_id)
    .filter(({ number }) => number !== null && number === quote.number)
  return Math.max(quote.revision, ...same.map(({ revision }) => revision))
}

/** Whether a decision takes effect. Twin: `shopapi/quotes/rules/decision.py`. */
function isAboutTheOffer(
  quote: Quote,
  lines: readonly QuoteLine[],
  decision: Pick<Commands['decide_quote'], 'digest' | 'accepted_ids' | 'declined_ids'>,
  decided_on: Day,
): boolean {
  const asked = lines.filter(isAsked)
  // An older app names agreed costs among the accepted.
  const agreed = new Set(lines.filter((line) => line.agreed).map(({ id }) => id))
  const accepted = decision.accepted_ids.filter((id) => !agreed.has(id))
  const named = [...accepted, ...decision.declined_ids].sort()
  const isYes = (line: QuoteLine) => accepted.includes(line.id)
  return (
    quoteMayBecome(quote.state, 'decided') &&
    decision.digest === quote.offer_digest &&
    (quote.valid_until === null || decided_on <= quote.valid_until) &&
    named.join() ===
      asked
        .map(({ id }) => id)
        .sort()
        .join() &&
    asked.every((line) =>
      asked.every((other) => questionOf(other) !== questionOf(line) || isYes(other) === isYes(line)),
    )
  )
}

function sumOf(kind: QuoteLine['kind'], totals: QuoteTotals, lines: readonly QuoteLine[]): number {
  const of_kind = new Set(lines.filter((line) => line.kind === kind).map(({ id }) => id))
  return totals.lines
    .filter(({ id, accepted }) => accepted && of_kind.has(id))
    .reduce((sum, { amount_minor }) => sum + amount_minor, 0)
}

/** Recomputes a draft's totals from its lines; none while a line is invalid. */
function addUp(rows: ReplayRows, quote_id: string, context: ReplayContext): void {
  const quote = rows.get('quote', quote_id)
  if (quote?.state === 'draft') editRow(rows, 'quote', quote_id, { totals: totalsOf(rows, quote) }, context)
}

function totalsOf(
  rows: ReplayRows,
  quote: Quote,
  accepted: ReadonlySet<string> | null = null,
): QuoteTotals | null {
  const lines = rows.where('quote_line', 'quote_id', quote.id)
  const { basis, discount } = quote
  if (checkLines(basis, lines, { accepted, discount }).length > 0) return null
  const job = rows.get('job', quote.job_id)
  const exempt = quote.shown?.exempt ?? (job && rows.get('customer', job.customer_id)?.tax_exempt) ?? false
  return computeTotals(basis, lines, { accepted, discount, exempt })
}

function decideLines(
  rows: ReplayRows,
  lines: readonly QuoteLine[],
  ids: readonly string[],
  decided: Decision,
  context: ReplayContext,
): void {
  for (const { id } of lines) if (ids.includes(id)) editRow(rows, 'quote_line', id, { decided }, context)
}

/** The earlier decided quote is replaced; there may be undecided revisions in between. */
function replaceDecidedBefore(rows: ReplayRows, { replaces_id }: Quote, context: ReplayContext): void {
  const before = replaces_id === null ? undefined : rows.get('quote', replaces_id)
  if (!before) return
  if (before.state === 'decided') editRow(rows, 'quote', before.id, { state: 'replaced' }, context)
  replaceDecidedBefore(rows, before, context)
}

/** A finding with one accepted line is accepted, whatever else about it was declined. */
function decideFindings(
  rows: ReplayRows,
  lines: readonly QuoteLine[],
  { accepted_ids, declined_ids }: Pick<Commands['decide_quote'], 'accepted_ids' | 'declined_ids'>,
  context: ReplayContext,
): void {
  for (const [ids, decided] of [
    [declined_ids, 'declined'],
    [accepted_ids, 'accepted'],
  ] as const)
    for (const { id, finding_id } of lines)
      if (finding_id !== null && ids.includes(id)) editRow(rows, 'finding', finding_id, { decided }, context)
}

/** A job waits on approval while any of its quotes is offered to the customer. */
function deriveWaits(rows: ReplayRows, quote: Quote, context: ReplayContext): void {
  const job = rows.get('job', quote.job_id)
  if (!job) return
  const offered = rows.where('quote', 'job_id', job.id).some((found) => found.state === 'offered')
  setWait(rows, job.id, 'approval', offered, context)
}
