import * as api from '../api/apiKeys'
import type { SchemaApiKeyRow } from '../api/schema'
import type { Permission } from '../domain/contract'
import { newId } from './browser/clock'
import { answered } from './customerImports'
import { asResult } from './members'

/** Keys of other programs, read from the server: they are managed online only, and nothing of them is stored. */
export type ApiKey = SchemaApiKeyRow
export interface ApiKeyFields {
  label: string
  permissions: Permission[]
  expires_at: string | null
}

/** @throws NoSignal, Problem */
export const readApiKeys = (): Promise<readonly ApiKey[]> => api.readApiKeys()
export const addApiKey = (id: string, fields: ApiKeyFields) => asResult(api.addApiKey({ id, ...fields }))
/** The value, or why there is none. It is shown once and never stored. */
export const makeApiKeyValue = (id: string) => answered(api.makeApiKeyValue(id))
export const revokeApiKey = (id: string) => asResult(api.revokeApiKey(id, newId()))
