import { call, exchange } from './client'
import { post } from './post'
import type {
  SchemaCustomerImportRow,
  SchemaCustomerImportRowPage,
  SchemaImportCheck,
  SchemaImportOptionsRequest,
} from './schema'

const IMPORTS = '/api/v1/customer-imports'
// A few megabytes over a slow line.
const UPLOAD_MS = 180_000
const CHECK_MS = 60_000

/** The imports of the shop, oldest first. @throws NoSignal, Problem */
export async function readImports(): Promise<readonly SchemaCustomerImportRow[]> {
  return (await call<SchemaCustomerImportRowPage>('GET', `${IMPORTS}?limit=200`))?.rows ?? []
}

/** @throws NoSignal, Problem */
export async function readImport(id: string): Promise<SchemaCustomerImportRow> {
  return given(await call<SchemaCustomerImportRow>('GET', `${IMPORTS}/${id}`))
}

/** Uploads a file under the id of its import; the same again is the same upload. @throws NoSignal, Problem */
export async function uploadBook(id: string, name: string, body: Uint8Array<ArrayBuffer>): Promise<void> {
  const headers = { 'Content-Type': 'application/octet-stream', Accept: 'application/json' }
  const query = new URLSearchParams({ id, name })
  await exchange('POST', `${IMPORTS}/upload?${query}`, { headers, body, timeout_ms: UPLOAD_MS })
}

/** What an import would do. @throws NoSignal, Problem */
export async function checkImport(id: string, body: SchemaImportOptionsRequest): Promise<SchemaImportCheck> {
  return given(
    await call<SchemaImportCheck>('POST', `${IMPORTS}/${id}/check`, { body, timeout_ms: CHECK_MS }),
  )
}

/** @throws NoSignal, Problem */
export const startImport = (id: string, key: string, options: SchemaImportOptionsRequest) =>
  post(`${IMPORTS}/${id}/start`, key, { id, ...options })

/** @throws NoSignal; Problem `import_in_use` (409) */
export const undoImport = (id: string, key: string) => post(`${IMPORTS}/${id}/undo`, key, { id })

function given<Answer>(answer: Answer | null): Answer {
  if (!answer) throw new TypeError('the answer is never empty')
  return answer
}
