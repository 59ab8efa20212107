import { type Kind, PRICE_PARTS, type Row, SET_UP_STEPS, STARTING_CALENDAR } from '../../domain/contract'
import { RENAMED_BY_0_3, RENAMED_BY_0_4, withNewNames } from '../queue/formerCommands'

type Json = Readonly<Record<string, unknown>>

/** By kind, the rows that replace a row of 0.2.0 until all are fetched again. */
const CONVERT: { readonly [kind: string]: (row: Json) => { readonly [kind: string]: Json } } = {
  job: (job) => ({ job: withNewNames(job, RENAMED_BY_0_3) }),
  notice_template: (row) => ({ notice_template: withNewNames(row, RENAMED_BY_0_3) }),
  // What a plan and the margins of a run say was plain text.
  plan_request: () => ({}),
  run: (run) => ({ run: { ...run, margins: [] } }),
  // The prices were a field of the shop.
  shop: ({ book: prices, id, created_at, changed_at, ...shop }) => ({
    shop: withNewNames({ id, created_at, changed_at, ...shop }, RENAMED_BY_0_3),
    ...(prices ? { price_book: { id, created_at, changed_at, prices } } : {}),
  }),
}

interface StoredRow {
  kind: Kind
  row: Row
}

/** A row as version 0.2.0 of the app stored it, as the rows of 0.3.0; the same object where nothing changed. */
export function rowsOf0_3<Stored extends StoredRow>(record: Stored): Stored[] {
  const convert = CONVERT[record.kind]
  if (!convert) return [record]
  const rows = Object.entries(convert(record.row as unknown as Json))
  return rows.map(([kind, row]) => ({ ...record, kind: kind as Kind, row: row as unknown as Row }))
}

/** What the rows of 0.4.0 have besides, until they are fetched again: nothing is asked of a shop that has worked so far. */
const ADDED_BY_0_4: { readonly [kind: string]: Json } = {
  customer: { second_phone: '', contact_by: '', language: 'en' },
  hand_over: { language: 'en' },
  job: { urgency: 'usual', arrives_by: '', comeback_of_id: null },
  notice_template: { language: 'en' },
  price_book: { confirmed: PRICE_PARTS },
  safety_acknowledgement: { items: [] },
  stop: { supplier_id: null },
  sheet_entry: { months: null },
  shop: {
    customer_language: 'en',
    skipped_steps: SET_UP_STEPS,
    no_bypass: false,
    calendar: STARTING_CALENDAR,
    holidays: [],
  },
}

/** A row as version 0.3.0 stored it, as the rows of 0.4.0; the same object where nothing changed. */
export function rowsOf0_4<Stored extends StoredRow>(record: Stored): Stored[] {
  const added = ADDED_BY_0_4[record.kind]
  return [withNewNames(added ? { ...record, row: { ...record.row, ...added } } : record, RENAMED_BY_0_4)]
}
