import type { Rank } from './lines'
import type { Kept } from './rows.kept'
import type { Day, Moment } from './time'

export type Stage =
  | 'intake'
  | 'diagnosis'
  | 'repair'
  | 'proving'
  | 'ready'
  | 'returned'
  | 'closed'
  | 'cancelled'
export type Decision = 'open' | 'accepted' | 'declined'
export type Waits = 'approval' | 'parts' | 'customer'

export interface Job extends Kept {
  number: string | null
  mark: string
  customer_id: string
  machine_id: string
  site_id: string | null
  stage: Stage
  promised_on: Day | null
  notes: string
  waits_on: readonly Waits[]
  opened_at: Moment
}

export interface Complaint extends Kept {
  job_id: string
  words: string
  happens_when: string
  taken_by_id: string | null
}

export interface Finding extends Kept {
  job_id: string
  words: string
  consequence: string
  rank: Rank
  decided: Decision
  found_by_id: string | null
  /** A finding of an earlier visit, declined then, that this one takes up again. */
  again_of_id: string | null
}

/** What pictures are taken of. */
export type About = 'finding' | 'machine' | 'job' | 'stop' | 'part'

/** A picture. `sha256` and `bytes` are of what the phone sends, `width` and `height` of what is made of it. */
export interface Attachment extends Kept {
  about_kind: About
  about_id: string
  caption: string
  taken_at: Moment
  sha256: string
  bytes: number
  state: 'waiting' | 'received' | 'ready' | 'refused'
  reason: string
  width: number | null
  height: number | null
  added_by_id: string | null
}
