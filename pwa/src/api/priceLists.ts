import { call, exchange } from './client'
import type {
  SchemaPriceListCheck,
  SchemaPriceListOptionsRequest,
  SchemaSupplierPriceListRow,
  SchemaSupplierPriceListRowPage,
  SchemaSupplierPriceRow,
  SchemaSupplierPriceRowPage,
} from './schema'

const LISTS = '/api/v1/supplier-price-lists'
// A few megabytes over a slow line.
const UPLOAD_MS = 180_000
const CHECK_MS = 60_000
const IMPORT_MS = 180_000

/** The price lists that were imported, oldest first. @throws NoSignal, Problem */
export async function readPriceLists(): Promise<readonly SchemaSupplierPriceListRow[]> {
  return (await call<SchemaSupplierPriceListRowPage>('GET', `${LISTS}?limit=200`))?.rows ?? []
}

/** @throws NoSignal, Problem */
export async function readPriceList(id: string): Promise<SchemaSupplierPriceListRow> {
  return given(await call<SchemaSupplierPriceListRow>('GET', `${LISTS}/${id}`))
}

/** Uploads a file under the id of its list; the same again is the same upload. @throws NoSignal, Problem */
export async function uploadPriceList(
  id: string,
  supplier_id: string,
  name: string,
  body: Uint8Array<ArrayBuffer>,
): Promise<void> {
  const headers = { 'Content-Type': 'application/octet-stream', Accept: 'application/json' }
  const query = new URLSearchParams({ id, supplier_id, name })
  await exchange('POST', `${LISTS}/upload?${query}`, { headers, body, timeout_ms: UPLOAD_MS })
}

/** What an import would do. @throws NoSignal, Problem */
export async function checkPriceList(
  id: string,
  body: SchemaPriceListOptionsRequest,
): Promise<SchemaPriceListCheck> {
  return given(
    await call<SchemaPriceListCheck>('POST', `${LISTS}/${id}/check`, { body, timeout_ms: CHECK_MS }),
  )
}

/** @throws NoSignal, Problem */
export async function importPriceList(
  id: string,
  body: SchemaPriceListOptionsRequest,
): Promise<SchemaSupplierPriceListRow> {
  return given(
    await call<SchemaSupplierPriceListRow>('POST', `${LISTS}/${id}/import`, { body, timeout_ms: IMPORT_MS }),
  )
}

/** What suppliers list under a number or words. @throws NoSignal, Problem */
export async function findPrices(words: string): Promise<readonly SchemaSupplierPriceRow[]> {
  const query = new URLSearchParams({ q: words, limit: '50' })
  return (await call<SchemaSupplierPriceRowPage>('GET', `/api/v1/supplier-prices?${query}`))?.rows ?? []
}

function given<Answer>(answer: Answer | null): Answer {
  if (!answer) throw new TypeError('the answer is never empty')
  return answer
}
