import type { Decision, Quote } from '../domain/rows'
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
  edit_quote: (world, args, made) => edit(world, 'quote', args.id, args.set, made),
  put_quote_line: (world, args, made) =>
    world.put('quote_line', {
      ...born(world, 'quote_line', args.id, made),
      finding_id: null,
      decided: world.get('quote_line', args.id)?.decided ?? 'open',
      ...args,
    }),
  remove_quote_line: (world, args) => world.drop('quote_line', args.id),
  offer_quote: (world, args, made) => {
    const quote = world.get('quote', args.id)
    if (!quote || quote.state !== 'draft') return
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
    const matches = args.digest === quote.offer_digest
    const known = world.get('approval', args.id)
    world.put('approval', {
      ...born(world, 'approval', args.id, made),
      note: '',
      ...args,
      received_at: known?.received_at ?? null,
      matches,
      accepted_total_minor: known?.accepted_total_minor ?? null,
      signature_id: signature?.id ?? null,
      member_id: made.member_id,
      device_id: made.device_id,
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
    edit(world, 'quote', args.id, { state: 'withdrawn' }, made)
    const quote = world.get('quote', args.id)
    if (quote) deriveWaits(world, quote, made)
  },
  remake_paper: (world, args, made) =>
    edit(world, 'quote', args.id, { paper: { state: 'waiting', reason: null, url: null, bytes: null } }, made),
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
