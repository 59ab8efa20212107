import { call } from './client'
import { post } from './post'
import type {
  SchemaApiKeyRow,
  SchemaApiKeyRowPage,
  SchemaApiKeyValue,
  SchemaNewApiKeyRequest,
} from './schema'

const KEYS = '/api/v1/api-keys'

/** The shop's keys, ended ones too. @throws NoSignal, Problem */
export async function readApiKeys(): Promise<readonly SchemaApiKeyRow[]> {
  return (await call<SchemaApiKeyRowPage>('GET', `${KEYS}?limit=200`))?.rows ?? []
}

/** @throws NoSignal; Problem with its fields */
export const addApiKey = (fields: SchemaNewApiKeyRequest) => post(KEYS, fields.id, fields)

/** The value of a key, shown this once. @throws NoSignal, Problem */
export async function makeApiKeyValue(id: string): Promise<string> {
  return (await call<SchemaApiKeyValue>('POST', `${KEYS}/${id}/value`, { body: {} }))?.key ?? ''
}

/** @throws NoSignal, Problem */
export const revokeApiKey = (id: string, key: string) => post(`${KEYS}/${id}/revoke`, key, { id })
