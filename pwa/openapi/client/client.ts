/**
 * A client of the API for programs in TypeScript: `fetch` with the types of the document, and nothing else.
 *
 * Paths, parameters, bodies and answers are checked against `paths`, which `openapi-typescript` writes from
 * `openapi.json`. A refusal is thrown as `ApiProblem`.
 */
import type { components, paths } from './schema.ts'

type Method = 'get' | 'post'
type PathsWith<M extends Method> = {
  [P in keyof paths]: paths[P] extends Record<M, { responses: unknown }> ? P : never
}[keyof paths]
type Operation<M extends Method, P extends PathsWith<M>> = paths[P] extends Record<M, infer O> ? O : never
type Body<O> = O extends { requestBody: { content: { 'application/json': infer B } } } ? B : never
type Query<O> = O extends { parameters: { query?: infer Q } } ? Q : never
type Responses<O> = O extends { responses: infer R } ? R : never
type Success<R> = R extends { 200: infer A } ? A : R extends { 201: infer A } ? A : never
type Answer<O> = Success<Responses<O>> extends { content: { 'application/json': infer A } } ? A : undefined

export type Problem = components['schemas']['ProblemDetails']

export class ApiProblem extends Error {
  readonly problem: Problem
  constructor(problem: Problem) {
    super(`${problem.status} ${problem.code}: ${problem.detail}`)
    this.problem = problem
  }
}

export class ApiClient {
  private readonly origin: string
  private readonly key: string
  constructor(origin: string, key: string) {
    this.origin = origin
    this.key = key
  }

  /** Reads JSON. `row` fills in the id of the path. */
  async get<P extends PathsWith<'get'>>(path: P, query: Query<Operation<'get', P>> | undefined, row = ''): Promise<Answer<Operation<'get', P>>> {
    const asked = new URLSearchParams(Object.entries(query ?? {}).map(([name, value]) => [name, String(value)]))
    const response = await this.send('GET', `${this.path(path, row)}${asked.size ? `?${asked}` : ''}`)
    return (await response.json()) as Answer<Operation<'get', P>>
  }

  /** Reads a file, such as a PDF. */
  async file(path: PathsWith<'get'>, row = ''): Promise<Uint8Array> {
    return new Uint8Array(await (await this.send('GET', this.path(path, row))).arrayBuffer())
  }

  /** Writes under an Idempotency-Key; after a lost answer, call again with the same key. */
  async post<P extends PathsWith<'post'>>(path: P, body: Body<Operation<'post', P>>, row = '', key: string = crypto.randomUUID()): Promise<Answer<Operation<'post', P>>> {
    const response = await this.send('POST', this.path(path, row), JSON.stringify(body), key)
    return (await response.json()) as Answer<Operation<'post', P>>
  }

  private path(path: string, row: string): string {
    return path.replace('{row_id}', row)
  }

  private async send(method: string, path: string, body?: string, key?: string): Promise<Response> {
    const headers: Record<string, string> = { Authorization: `Token ${this.key}` }
    if (body !== undefined) headers['Content-Type'] = 'application/json'
    if (key !== undefined) headers['Idempotency-Key'] = key
    const response = await fetch(this.origin + path, { method, headers, body: body ?? null })
    if (!response.ok) throw new ApiProblem((await response.json()) as Problem)
    return response
  }
}
