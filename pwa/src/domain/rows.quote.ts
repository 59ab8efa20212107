import type { PriceBook } from './book'
import type { QuoteLine as QuoteLineFields, Rank } from './lines'
import type { Reckoning } from './reckoning'
import type { Kept } from './rows.kept'
import type { Decision } from './rows.work'
import type { QuoteState } from './states'
import type { Day, Moment } from './time'

export type How = 'glass' | 'link' | 'call' | 'in_person'

/** Ink: strokes of points x, y, ms since the first point, and pressure where the glass tells it. */
export type Strokes = (readonly [number, number, number] | readonly [number, number, number, number])[][]

export type { PriceBook, QuoteLineFields, QuoteState, Rank, Reckoning }

export interface Discount {
  percent: string | null
  minor: number | null
}

export interface Paper {
  state: 'none' | 'waiting' | 'ready' | 'failed'
  reason: string | null
  url: string | null
  bytes: number | null
}

/** The names as the owner read them, kept with the offer. */
export interface Shown {
  shop: string
  customer: string
  machine: string
  exempt: boolean
}

export interface Quote extends Kept {
  job_id: string
  number: string | null
  mark: string
  kind: 'first' | 'added'
  revision: number
  replaces_id: string | null
  state: QuoteState
  basis: PriceBook
  discount: Discount
  note: string
  valid_until: Day | null
  offered_at: Moment | null
  offer_digest: string | null
  shown: Shown | null
  totals: Reckoning | null
  paper: Paper
}

export type QuoteLine = Kept & {
  quote_id: string
  finding_id: string | null
  decided: Decision
} & QuoteLineFields

export interface Approval extends Kept {
  quote_id: string
  revision: number
  how: How
  decided_by_name: string
  decided_at: Moment
  zone: string
  received_at: Moment | null
  digest: string
  matches: boolean
  accepted_ids: readonly string[]
  declined_ids: readonly string[]
  accepted_total_minor: number | null
  accepted_labor_minor: number | null
  accepted_parts_minor: number | null
  number_called: string
  conditions: string
  note: string
  signature_id: string | null
  member_id: string | null
  device_id: string | null
  link_id: string | null
}

export type Channel = 'email' | 'sms' | 'qr'

/** A request to an owner about one revision. A mail scanner opens links too: `opened_count` says nothing of who. */
export interface ApprovalLink extends Kept {
  quote_id: string
  revision: number
  channel: Channel
  address: string
  name: string
  expires_at: Moment
  opened_count: number
  opened_at: Moment | null
  used_at: Moment | null
  revoked_at: Moment | null
  created_by_id: string | null
}

/** What an owner asked back; `answered_at` once somebody has called. */
export interface OwnerQuestion extends Kept {
  quote_id: string
  link_id: string
  name: string
  words: string
  asked_at: Moment
  answered_at: Moment | null
  answered_by_id: string | null
}

export interface Signature extends Kept {
  strokes: Strokes
  width: number
  height: number
  signer_name: string
  digest: string
}
