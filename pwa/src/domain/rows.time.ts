import type { Kept } from './rows.kept'
import type { Moment } from './time'

export type TimeKind = 'repair' | 'diagnosis' | 'travel' | 'errand' | 'rework' | 'shop'
export type Cause = 'wrong_gauge' | 'wrong_part' | 'torque' | 'missed_step' | 'part_failed' | 'other'
export type TimeState = 'open' | 'closed' | 'disputed' | 'replaced'
export type Doubt = 'ends_first' | 'in_future' | 'too_long'

/** A span of one member's time. `device_…` is what the device's clock said, null where it was written by hand. */
export interface TimeEntry extends Kept {
  member_id: string
  device_id: string | null
  job_id: string | null
  kind: TimeKind
  operation: string
  line_id: string | null
  started_at: Moment
  ended_at: Moment | null
  device_started_at: Moment | null
  device_ended_at: Moment | null
  start_skew_ms: number
  end_skew_ms: number
  state: TimeState
  doubt: Doubt | ''
  corrects_id: string | null
  reason: string
  cause: Cause | ''
  repairs_id: string | null
}

/** What one work took on one kind of machine: minutes of its latest finished jobs, shortest first. */
export interface WorkHistory extends Kept {
  operation: string
  machine_kind: string
  minutes: number[]
  reworked: number
}
