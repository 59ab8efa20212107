import { call } from './client'
import type {
  SchemaEnvelope,
  SchemaOutcome,
  SchemaPullAnswer,
  SchemaPushAnswer,
  SchemaPushRequest,
  SchemaRegistered,
  SchemaSnapshotAnswer,
} from './schema'

const SYNC = '/api/v1/sync'
/** A push may carry a long queue over a slow connection. */
const PUSH_TIMEOUT_MS = 60_000

export function postDevice(id: string, label: string, build: string): Promise<SchemaRegistered> {
  return answered(call<SchemaRegistered>('POST', `${SYNC}/devices`, { body: { id, label, build } }))
}

export async function postPush(push: SchemaPushRequest): Promise<readonly SchemaOutcome[]> {
  const pushed = call<SchemaPushAnswer>('POST', `${SYNC}/push`, { body: push, timeout_ms: PUSH_TIMEOUT_MS })
  return (await answered(pushed)).results
}

/** null: nothing has changed since the cursor. */
export function getPull(device: string, build: string, cursor: string): Promise<SchemaPullAnswer | null> {
  return call('GET', `${SYNC}/pull?${new URLSearchParams({ device, build, cursor })}`)
}

/** A page of everything, or with `part` of what is needed first. */
export function getSnapshot(
  device: string,
  build: string,
  after: string | null,
  part: 'first' | null = null,
): Promise<SchemaSnapshotAnswer> {
  const query = new URLSearchParams({
    device,
    build,
    ...(part === null ? {} : { part }),
    ...(after === null ? {} : { after }),
  })
  return answered(call<SchemaSnapshotAnswer>('GET', `${SYNC}/snapshot?${query}`))
}

export function getCommand(id: string): Promise<SchemaOutcome> {
  return answered(call<SchemaOutcome>('GET', `${SYNC}/commands/${id}`))
}

export type { SchemaEnvelope, SchemaOutcome }

async function answered<Answer>(answer: Promise<Answer | null>): Promise<Answer> {
  const found = await answer
  if (found === null) throw new TypeError('this call is answered with a body')
  return found
}
