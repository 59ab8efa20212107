import type { Kind, Row } from '../../domain/contract'
import { withNewNames } from '../queue/formerCommands'

type Json = Readonly<Record<string, unknown>>

/** By kind, the rows that stand in a stored row's place until all are fetched again. */
const CONVERT: { readonly [kind: string]: (row: Json) => { readonly [kind: string]: Json } } = {
  job: (job) => ({ job: withNewNames(job) }),
  notice_template: (row) => ({ notice_template: withNewNames(row) }),
  // What a plan and the margins of a run say was plain text.
  plan_request: () => ({}),
  run: (run) => ({ run: { ...run, margins: [] } }),
  // The prices were a field of the shop.
  shop: ({ book: prices, id, created_at, changed_at, ...shop }) => ({
    shop: withNewNames({ id, created_at, changed_at, ...shop }),
    ...(prices ? { price_book: { id, created_at, changed_at, prices } } : {}),
  }),
}

/** A row as version 0.2.0 of the app stored it, as the rows of this version; the same object where nothing changed. */
export function currentRows<Stored extends { kind: Kind; row: Row }>(record: Stored): Stored[] {
  const convert = CONVERT[record.kind]
  if (!convert) return [record]
  const rows = Object.entries(convert(record.row as unknown as Json))
  return rows.map(([kind, row]) => ({ ...record, kind: kind as Kind, row: row as unknown as Row }))
}
