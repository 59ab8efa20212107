import { call } from './client'

/** The sync calls as they stand on the wire. */
export interface WireDevice {
  device_id: string
  letter: string
  epoch: string
  next_no: number
  min_build: number
  time: string
}

export interface WireCommand {
  id: string
  no: number
  name: string
  v: number
  args: unknown
  wall: string
  mono_ms: number
  session: string
}

export type WireStatus = 'applied' | 'held' | 'rejected'

export interface WireResult {
  id: string
  no: number
  status: WireStatus | 'duplicate'
  /** What was recorded the first time; tells a duplicate apart. */
  first: WireStatus | null
  code: string | null
  words: string | null
  fields: { field: string; code: string; words: string }[]
  seq: number | null
}

export interface WirePage {
  rows: Record<string, unknown[]>
  gone: [string, string][]
  acks: Record<string, number>
  cursor: string
  more: boolean
  safe_no: number
  time: string
  resync: null
}

export interface WireResync {
  resync: 'horizon' | 'fork' | 'view'
}

export interface WireSnapshot {
  rows: Record<string, unknown[]>
  after: string | null
  cursor: string
  time: string
}

const SYNC = '/api/v1/sync'
/** A push may carry a long queue over a thin line. */
const PUSH_TIMEOUT_MS = 60_000

export function postDevice(id: string, label: string, build: string): Promise<WireDevice> {
  return answered(call<WireDevice>('POST', `${SYNC}/devices`, { body: { id, label, build } }))
}

export async function postPush(
  device: string,
  build: string,
  sent_wall: string,
  commands: readonly WireCommand[],
): Promise<WireResult[]> {
  const { results } = await answered(
    call<{ results: WireResult[] }>('POST', `${SYNC}/push`, {
      body: { device, build, sent_wall, commands },
      timeout_ms: PUSH_TIMEOUT_MS,
    }),
  )
  return results
}

/** null: nothing has changed since the cursor. */
export function getPull(device: string, cursor: string): Promise<WirePage | WireResync | null> {
  return call('GET', `${SYNC}/pull?${new URLSearchParams({ device, cursor })}`)
}

export function getSnapshot(device: string, after: string | null): Promise<WireSnapshot> {
  const query = new URLSearchParams({ device, ...(after === null ? {} : { after }) })
  return answered(call<WireSnapshot>('GET', `${SYNC}/snapshot?${query}`))
}

export function getCommand(id: string): Promise<WireResult> {
  return answered(call<WireResult>('GET', `${SYNC}/commands/${id}`))
}

async function answered<Answer>(answer: Promise<Answer | null>): Promise<Answer> {
  const found = await answer
  if (found === null) throw new TypeError('this call is answered with a body')
  return found
}
