import { call } from './client'
import { post } from './post'
import type {
  SchemaNewWebhookRequest,
  SchemaWebhookChangeRequest,
  SchemaWebhookDeliveryRow,
  SchemaWebhookDeliveryRowPage,
  SchemaWebhookRow,
  SchemaWebhookRowPage,
  SchemaWebhookSecret,
} from './schema'

const WEBHOOKS = '/api/v1/webhooks'
const DELIVERIES = '/api/v1/webhook-deliveries'

/** The shop's webhooks, ten at most. @throws NoSignal, Problem */
export async function readWebhooks(): Promise<readonly SchemaWebhookRow[]> {
  return (await call<SchemaWebhookRowPage>('GET', `${WEBHOOKS}?limit=200`))?.rows ?? []
}

/** The deliveries of a webhook, oldest first, after a place in the list. @throws NoSignal, Problem */
export async function readDeliveries(webhook_id: string): Promise<readonly SchemaWebhookDeliveryRow[]> {
  const found: SchemaWebhookDeliveryRow[] = []
  let cursor = ''
  do {
    const query = new URLSearchParams({ webhook_id, limit: '200', cursor })
    const page = await call<SchemaWebhookDeliveryRowPage>('GET', `${DELIVERIES}?${query}`)
    found.push(...(page?.rows ?? []))
    cursor = page?.next ?? ''
  } while (cursor)
  return found
}

/** A new secret, shown this once. @throws NoSignal, Problem */
export async function makeSecret(id: string): Promise<string> {
  return (await call<SchemaWebhookSecret>('POST', `${WEBHOOKS}/${id}/secret`, { body: {} }))?.secret ?? ''
}

/** @throws NoSignal; Problem with its fields */
export const addWebhook = (fields: SchemaNewWebhookRequest) => post(WEBHOOKS, fields.id, fields)

/** @throws NoSignal; Problem with its fields */
export const editWebhook = (fields: SchemaWebhookChangeRequest, key: string) =>
  post(`${WEBHOOKS}/${fields.id}/edit`, key, fields)

/** Turns it on or off, tries or removes it. @throws NoSignal, Problem */
export const actOnWebhook = (id: string, act: 'on' | 'off' | 'test' | 'remove', key: string) =>
  post(`${WEBHOOKS}/${id}/${act}`, key, { id })

/** @throws NoSignal, Problem */
export const redeliver = (id: string, key: string) => post(`${DELIVERIES}/${id}/redeliver`, key, { id })
