import type { SchemaWebhookDeliveryRow, SchemaWebhookRow } from '../api/schema'
import * as api from '../api/webhooks'
import { newId } from './browser/clock'
import { answered } from './customerImports'
import { asResult } from './members'

/** Addresses of other programs, read from the server: they are managed online only, and nothing of them is stored. */
export type Webhook = SchemaWebhookRow
export type WebhookDelivery = SchemaWebhookDeliveryRow
export interface WebhookFields {
  url: string
  label: string
  kinds: string[]
}

/** @throws NoSignal, Problem */
export const readWebhooks = (): Promise<readonly Webhook[]> => api.readWebhooks()
/** The newest first. @throws NoSignal, Problem */
export const readDeliveries = async (id: string): Promise<readonly WebhookDelivery[]> =>
  [...(await api.readDeliveries(id))].reverse()

export const addWebhook = (id: string, fields: WebhookFields) => asResult(api.addWebhook({ id, ...fields }))
export const editWebhook = (id: string, fields: WebhookFields) =>
  asResult(api.editWebhook({ id, ...fields }, newId()))
export const actOnWebhook = (id: string, act: 'on' | 'off' | 'test' | 'remove') =>
  asResult(api.actOnWebhook(id, act, newId()))
export const redeliver = (id: string) => asResult(api.redeliver(id, newId()))
/** The secret, or why there is none. It is shown once and never stored. */
export const makeSecret = (id: string) => answered(api.makeSecret(id))
