import type { Caution, DrawnDeck, Leg, Margin } from './rows.dispatch'
import type { Kept } from './rows.kept'
import type { Day, Moment } from './time'

export type PlanState = 'waiting' | 'running' | 'done' | 'failed' | 'cancelled'

export interface PlannedStop {
  stop_id: string
  trip: number
  position: number
  arrives_from: Moment
  arrives_at: Moment
  arrives_to: Moment
  starts_at: Moment
  leaves_at: Moment
}

export interface PlannedRun {
  run_id: string
  rig_id: string
  day: Day
  leaves_at: Moment
  home_at: Moment
  metres: number
  drive_seconds: number
  stops: readonly PlannedStop[]
  cautions: readonly Caution[]
  margins: readonly Margin[]
  decks: readonly DrawnDeck[]
  legs: readonly Leg[]
}

/** A run whose stops or their order a plan changes, and who drives it. */
export interface RunTouched {
  run_id: string
  rig_id: string
  day: Day
  driver_id: string | null
}

/** A plan that passed the check. `proven`: no better one exists; `touches`: each run that it changes. */
export interface PlanAnswer {
  runs: readonly PlannedRun[]
  left_out: readonly { stop_id: string; code: string; words: string }[]
  metres: number
  proven: boolean
  complete: boolean
  roads: 'rule' | 'service' | 'fallback'
  words: readonly string[]
  touches: readonly RunTouched[]
}

/** A planning as it goes: parts of a thousand done, then its answer, or why there is none. */
export interface PlanRequest extends Kept {
  asked_by_id: string | null
  /** Only this member's run was planned, all others kept. */
  driver_id: string | null
  days: readonly Day[]
  seed: number
  seconds: number
  rounds: number | null
  from_now: boolean
  cause: 'asked' | 'no_show' | 'breakdown' | 'urgent'
  state: PlanState
  permille: number
  answer: PlanAnswer | null
  error: string
  taken_at: Moment | null
}
