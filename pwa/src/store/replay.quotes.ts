import { checkLines } from '../domain/checks'
import { reckon } from '../domain/reckoning'
import type { Decision, Quote, Reckoning } from '../domain/rows'
import { mayBecome } from '../domain/states'
import { born, edit, type Made, type Replays } from './made'
import type { World } from './world'

type QuoteCommands =
  | 'draft_quote'
  | 'edit_quote'
  | 'put_quote_line'
  | 'remove_quote_line'
  | 'offer_quote'
  | 'decide_quote'
  | 'withdraw_quote'
  | 'remake_paper'
  | 'send_approval_request'
  | 'revoke_approval_link'
  | 'answer_owner_question'

export const quoteReplays: Replays<QuoteCommands> = {
  draft_quote: (world, args, made) => {
    const known = world.get('quote', args.id)
    const before = args.replaces_id === undefined ? undefined : world.get('quote', args.replaces_id)
    world.put('quote', {
      ...born(world, 'quote', args.id, made),
      note: '',
      ...args,
      number: known?.number ?? null,
      revision: known?.revision ?? (before?.revision ?? 0) + 1,
      replaces_id: args.replaces_id ?? null,
      state: known?.state ?? 'draft',
      discount: known?.discount ?? { percent: null, minor: null },
      valid_until: known?.valid_until ?? null,
      offered_at: known?.offered_at ?? null,
      offer_digest: known?.offer_digest ?? null,
      shown: known?.shown ?? null,
      totals: known?.totals ?? null,
      paper: known?.paper ?? { state: 'none', reason: null, url: null, bytes: null },
    })
  },
  edit_quote: (world, args, made) => {
    edit(world, 'quote', args.id, args.set, made)
    addUp(world, args.id, made)
  },
  put_quote_line: (world, args, made) => {
    world.put('quote_line', {
      ...born(world, 'quote_line', args.id, made),
      finding_id: null,
      decided: world.get('quote_line', args.id)?.decided ?? 'open',
      ...args,
    })
    addUp(world, args.quote_id, made)
  },
  remove_quote_line: (world, args, made) => {
    const line = world.get('quote_line', args.id)
    if (!line) return
    world.drop('quote_line', line.id)
    addUp(world, line.quote_id, made)
  },
  offer_quote: (world, args, made) => {
    const quote = world.get('quote', args.id)
    if (!quote || !mayBecome(quote.state, 'offered')) return
    if (quote.replaces_id !== null) edit(world, 'quote', quote.replaces_id, { state: 'replaced' }, made)
    edit(
      world,
      'quote',
      quote.id,
      {
        state: 'offered',
        valid_until: args.valid_until,
        offered_at: made.at,
        offer_digest: args.digest,
        shown: args.shown,
        paper: { state: 'waiting', reason: null, url: null, bytes: null },
      },
      made,
    )
    deriveWaits(world, quote, made)
  },
  decide_quote: (world, { signature, ...args }, made) => {
    const quote = world.get('quote', args.quote_id)
    if (!quote) return
    const matches =
      args.digest === quote.offer_digest && (quote.state === 'decided' || mayBecome(quote.state, 'decided'))
    const known = world.get('approval', args.id)
    world.put('approval', {
      ...born(world, 'approval', args.id, made),
      note: '',
      number_called: '',
      conditions: '',
      accepted_labor_minor: known?.accepted_labor_minor ?? null,
      accepted_parts_minor: known?.accepted_parts_minor ?? null,
      ...args,
      received_at: known?.received_at ?? null,
      matches,
      accepted_total_minor:
        known?.accepted_total_minor ??
        reckoned(world, quote, new Set(args.accepted_ids))?.total_minor ??
        null,
      signature_id: signature?.id ?? null,
      member_id: made.member_id,
      device_id: made.device_id,
      link_id: null,
    })
    if (signature)
      world.put('signature', {
        ...born(world, 'signature', signature.id, made),
        ...signature,
        signer_name: args.decided_by_name,
        digest: world.get('signature', signature.id)?.digest ?? '',
      })
    if (!matches) return
    decideLines(world, args.accepted_ids, 'accepted', made)
    decideLines(world, args.declined_ids, 'declined', made)
    edit(world, 'quote', quote.id, { state: 'decided' }, made)
    deriveWaits(world, quote, made)
  },
  withdraw_quote: (world, args, made) => {
    const quote = world.get('quote', args.id)
    if (!quote || !mayBecome(quote.state, 'withdrawn')) return
    edit(world, 'quote', quote.id, { state: 'withdrawn' }, made)
    deriveWaits(world, quote, made)
  },
  remake_paper: (world, args, made) =>
    edit(
      world,
      'quote',
      args.id,
      { paper: { state: 'waiting', reason: null, url: null, bytes: null } },
      made,
    ),
  send_approval_request: (world, args, made) => {
    const quote = world.get('quote', args.quote_id)
    // What the server has made of it, with its end and what became of it, stands.
    if (!quote || world.get('approval_link', args.id)) return
    world.put('approval_link', {
      ...born(world, 'approval_link', args.id, made),
      address: '',
      name: '',
      ...args,
      revision: quote.revision,
      expires_at: `${quote.valid_until}T23:59:59Z`,
      opened_count: 0,
      opened_at: null,
      used_at: null,
      revoked_at: null,
      created_by_id: made.member_id,
    })
  },
  revoke_approval_link: (world, args, made) => {
    const link = world.get('approval_link', args.id)
    if (link && link.used_at === null && link.revoked_at === null)
      edit(world, 'approval_link', link.id, { revoked_at: made.at }, made)
  },
  answer_owner_question: (world, args, made) => {
    const question = world.get('owner_question', args.id)
    if (question && question.answered_at === null)
      edit(
        world,
        'owner_question',
        question.id,
        { answered_at: made.at, answered_by_id: made.member_id },
        made,
      )
  },
}

/** A draft's totals follow its lines; there are none while something on it is still wrong. */
function addUp(world: World, quote_id: string, made: Made): void {
  const quote = world.get('quote', quote_id)
  if (quote?.state === 'draft') edit(world, 'quote', quote_id, { totals: reckoned(world, quote) }, made)
}

function reckoned(world: World, quote: Quote, accepted: ReadonlySet<string> | null = null): Reckoning | null {
  const lines = world.where('quote_line', 'quote_id', quote.id)
  const { basis, discount } = quote
  if (lines.length === 0 || checkLines(basis, lines, { accepted, discount }).length > 0) return null
  const job = world.get('job', quote.job_id)
  const exempt = quote.shown?.exempt ?? (job && world.get('customer', job.customer_id)?.tax_exempt) ?? false
  return reckon(basis, lines, { accepted, discount, exempt })
}

function decideLines(world: World, ids: readonly string[], decided: Decision, made: Made): void {
  for (const id of ids) {
    edit(world, 'quote_line', id, { decided }, made)
    const finding_id = world.get('quote_line', id)?.finding_id
    if (finding_id) edit(world, 'finding', finding_id, { decided }, made)
  }
}

/** A job waits on approval while any of its quotes lies before the owner. */
function deriveWaits(world: World, quote: Quote, made: Made): void {
  const job = world.get('job', quote.job_id)
  if (!job) return
  const others = job.waits_on.filter((waits) => waits !== 'approval')
  const offered = world.where('quote', 'job_id', job.id).some((found) => found.state === 'offered')
  edit(world, 'job', job.id, { waits_on: offered ? ['approval', ...others] : others }, made)
}
