import type { Kept } from './rows.kept'
import type { Day } from './time'

export interface Customer extends Kept {
  name: string
  person: string
  phone: string
  email: string
  address: string
  notes: string
  tax_exempt: boolean
  exempt_reason: string
  archived: boolean
}

export interface Site extends Kept {
  customer_id: string
  label: string
  address: string
  lat: string | null
  lon: string | null
  access_notes: string
}

export interface Machine extends Kept {
  customer_id: string
  kind: string
  make: string
  model: string
  serial: string
  year: number | null
  engine_make: string
  engine_model: string
  engine_serial: string
  tag: string
  notes: string
  archived: boolean
  /** Its size as it is carried; null where nobody has entered it. */
  mass_kg: number | null
  length_cm: number | null
  width_cm: number | null
  height_cm: number | null
  wheelbase_cm: number | null
  clearance_cm: number | null
  tie_points: number | null
}

export interface MeterReading extends Kept {
  machine_id: string
  segment: number
  hours: string
  read_on: Day
  noted_by_id: string | null
}
