/** No answer from the server: no connection, a timeout, or a hotspot's sign-in page. */
export class NoSignal extends Error {
  constructor(because: string) {
    super(because)
    this.name = 'NoSignal'
  }
}

export interface ProblemField {
  field: string
  code: string
  words: string
}

/** A refusal by the server (RFC 9457), with a message, and errors by field where there are any. */
export class Problem extends Error {
  readonly status: number
  readonly code: string
  readonly fields: readonly ProblemField[]
  /** Seconds the server asks to wait before the next try; null when it does not say. */
  readonly retry_after_s: number | null
  /** The number the server expects next; null unless the refusal is a gap. */
  readonly expect: number | null
  /** The right offset of an upload; null unless the refusal is about a wrong one. */
  readonly offset: number | null

  constructor(status: number, body: Record<string, unknown>, retry_after_s: number | null) {
    super(text(body['detail']) ?? text(body['title']) ?? `refused with ${status}`)
    this.name = 'Problem'
    this.status = status
    this.code = text(body['code']) ?? 'unknown'
    this.fields = Array.isArray(body['fields']) ? (body['fields'] as ProblemField[]) : []
    this.retry_after_s = retry_after_s
    this.expect = number(body['expect'])
    this.offset = number(body['offset'])
  }
}

function text(value: unknown): string | null {
  return typeof value === 'string' && value !== '' ? value : null
}

function number(value: unknown): number | null {
  return typeof value === 'number' ? value : null
}
