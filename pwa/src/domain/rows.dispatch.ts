import type { Kept } from './rows.kept'
import type { Day, Moment } from './time'

/** A time of the day in the shop's zone, as in "07:30". */
export type ClockTime = string

/** What the shop's own days say: minutes at a stop, and driven legs beside the rule in parts of a thousand. */
export interface Learned {
  pickup_minutes: number | null
  pickup_count: number
  return_minutes: number | null
  return_count: number
  visit_minutes: number | null
  visit_count: number
  drive_permille: number | null
  drive_low_permille: number | null
  drive_high_permille: number | null
  drive_count: number
}

/** Where runs begin and end, and how the shop drives and works. One a shop. */
export interface Yard extends Kept {
  lat: string | null
  lon: string | null
  opens: ClockTime
  closes: ClockTime
  loading_minutes: number
  pickup_minutes: number
  return_minutes: number
  visit_minutes: number
  speed_kmh: number | null
  trailer_percent: number
  turn_in_minutes: number
  tongue_low_permille: number
  tongue_high_permille: number
  least_tie_downs: number
  learned: Learned
}

export interface Deck {
  length_cm: number | null
  width_cm: number | null
  height_cm: number | null
  slots: number
  lanes: number
}

export interface Trailer {
  empty_kg: number | null
  tongue_kg: number | null
  axle_cm: number | null
  deck_cm: number | null
  axles: number
  track_cm: number | null
  gvwr_kg: number | null
  gawr_kg: number | null
  tires_kg: number | null
  coupler_kg: number | null
}

export interface Truck {
  ready_kg: number | null
  gvwr_kg: number | null
  gcwr_kg: number | null
  hitch_kg: number | null
  hitch_tongue_kg: number | null
  ball_kg: number | null
  rear_ready_kg: number | null
  rear_gawr_kg: number | null
  wheelbase_cm: number | null
  overhang_cm: number | null
}

export interface Rest {
  opens: ClockTime
  closes: ClockTime
  minutes: number
}

/** A truck with its trailer. `out_at`: broken down since then. */
export interface Rig extends Kept {
  name: string
  driver_id: string | null
  crew: number
  payload_kg: number
  deck: Deck
  trailer: Trailer | null
  truck: Truck | null
  winch: boolean
  ramp_length_cm: number | null
  ramp_full_width: boolean
  straps: number | null
  home_lat: string | null
  home_lon: string | null
  shift_opens: ClockTime
  shift_closes: ClockTime
  breaks: readonly Rest[]
  active: boolean
  out_at: Moment | null
  out_note: string
}

export type RunState = 'planned' | 'locked' | 'driving' | 'done' | 'cancelled'
export type StopState = 'asked' | 'planned' | 'driving' | 'arrived' | 'left' | 'failed' | 'dropped'
export type StopKind = 'pickup' | 'return' | 'visit'
export type Need = 'winch' | 'ramp' | 'two_people'
export type Priority = 'usual' | 'soon' | 'first'
export type Failure = 'nobody_home' | 'gate_locked' | 'too_wet' | 'machine_not_ready' | 'other'
export type Fuel = 'unknown' | 'empty' | 'low' | 'half' | 'full' | 'electric'

export interface StopWindow {
  opens: Moment
  closes: Moment
}

/**
 * A pickup, a return or a visit. Told times are promises; `again_of_id` is the stop that came to nothing before.
 * `lat`, `lon`, `place`: where the machine stands when that is not the site; `from_rig_id`: on the deck of a rig
 * that broke down there.
 */
export interface Stop extends Kept {
  job_id: string
  kind: StopKind
  site_id: string
  lat: string | null
  lon: string | null
  place: string
  windows: readonly StopWindow[]
  service_minutes: number | null
  needs: readonly Need[]
  priority: Priority
  earliest_on: Day | null
  promised_on: Day | null
  wait_until: Day | null
  by_daylight: boolean
  notes: string
  pin_rig_id: string | null
  pin_at: Moment | null
  pin_after_id: string | null
  state: StopState
  run_id: string | null
  /** Both count from 0 within the run. */
  trip: number
  position: number
  arrives_from: Moment | null
  arrives_at: Moment | null
  arrives_to: Moment | null
  leaves_at: Moment | null
  told_from: Moment | null
  told_to: Moment | null
  told_at: Moment | null
  arrived_at: Moment | null
  left_at: Moment | null
  failure: Failure | ''
  failure_note: string
  failed_at: Moment | null
  again_of_id: string | null
  from_rig_id: string | null
}

export interface Caution {
  code: string
  words: string
  stop_id: string | null
}

/** What is left to one rating on one leg of a trip; leg 0 leaves the yard. */
export interface Margin {
  trip: number
  leg: number
  rating: string
  limit_kg: number
  load_kg: number
  left_kg: number
}

/** The deck on one leg of a trip, drawn to scale. */
export interface DrawnDeck {
  trip: number
  leg: number
  words: string
  svg: string
  gross_kg: number | null
  tongue_kg: number | null
  tongue_permille: number | null
  tie_downs: number
}

/** One drive of a run: to a stop, or home (`stop_id` null). Four drives in five take `low` to `high` seconds. */
export interface Leg {
  trip: number
  leg: number
  stop_id: string | null
  metres: number
  seconds: number
  low_seconds: number
  high_seconds: number
}

/** One outing of a rig on a day; its stops name it. */
export interface Run extends Kept {
  rig_id: string
  driver_id: string | null
  day: Day
  state: RunState
  leaves_at: Moment | null
  home_at: Moment | null
  started_at: Moment | null
  ended_at: Moment | null
  metres: number | null
  drive_seconds: number | null
  cautions: readonly Caution[]
  margins: readonly Margin[]
  decks: readonly DrawnDeck[]
  legs: readonly Leg[]
  plan_id: string | null
}

export interface ConditionItem {
  part: string
  state: 'good' | 'worn' | 'damaged' | 'missing'
  note: string
}

/** A machine that changed hands, as both looked at it. */
export interface HandOver extends Kept {
  stop_id: string
  job_id: string
  kind: StopKind
  at: Moment
  member_id: string | null
  condition: readonly ConditionItem[]
  reading_id: string | null
  meter_doubt: '' | 'lower' | 'too_fast'
  keys: string
  fuel: Fuel
  accessories: string
  runs: boolean | null
  made_safe: readonly string[]
  as_left: readonly string[]
  acknowledged: readonly string[]
  amount_due_minor: number | null
  signer_name: string
  digest: string | null
  matches: boolean | null
  signature_id: string | null
}
