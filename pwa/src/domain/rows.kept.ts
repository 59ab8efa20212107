import type { Moment } from './time'

/** What every row has, as the server sends it. Money in rows is whole minor units. */
export interface Kept {
  id: string
  created_at: Moment
  changed_at: Moment
}
