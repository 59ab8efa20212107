/**
 * Does a whole job through the client: `node story.ts ORIGIN KEY`. Prints what came of it as JSON. A test runs it.
 */
import { createHash, randomUUID } from 'node:crypto'
import { ApiClient, ApiProblem } from './client.ts'

const [, , origin = '', key = ''] = process.argv
const api = new ApiClient(origin, key)
const [customer, machine, job, quote, line] = Array.from({ length: 5 }, () => randomUUID()) as [
  string,
  string,
  string,
  string,
  string,
]

await api.post('/api/v1/customers', { id: customer, name: 'Winnie Stroud' })
await api.post('/api/v1/machines', { id: machine, customer_id: customer, kind: 'garden tractor' })
await api.post('/api/v1/jobs', { id: job, customer_id: customer, machine_id: machine })

const book = (await api.get('/api/v1/price-book', {})).rows[0]
if (book === undefined) throw new Error('There is no price book.')
const profile = book.prices.tax_profiles.find((one) => one.until_on === null)
if (profile === undefined) throw new Error('There is no tax profile.')
const basis = { ...book.prices, tax_profiles: [profile] }
await api.post('/api/v1/quotes', { id: quote, job_id: job, basis })
await api.post('/api/v1/quote-lines', {
  id: line,
  quote_id: quote,
  position: 0,
  kind: 'labor',
  rank: 'needed',
  words: 'Replace the deck belt',
  hours: '1.5',
})

const shown = await api.get('/api/v1/quotes/{row_id}/offer-document', {}, quote)
const hashed = createHash('sha256').update(shown.canonical).digest('hex')
const { digest, total_minor, valid_until } = shown
const offered = await api.post(
  '/api/v1/quotes/{row_id}/offer',
  { id: quote, digest, total_minor, valid_until, shown: shown.shown },
  quote,
)
const approval = await api.post('/api/v1/approvals', {
  id: randomUUID(),
  quote_id: quote,
  revision: offered.revision,
  how: 'in_person',
  decided_by_name: 'Winnie Stroud',
  decided_at: new Date().toISOString(),
  zone: 'America/Chicago',
  digest,
  accepted_ids: [line],
  declined_ids: [],
})
const began = Date.now() - 2 * 3_600_000
const entry = await api.post('/api/v1/time-entries/by-hand', {
  id: randomUUID(),
  kind: 'repair',
  job_id: job,
  line_id: line,
  reason: 'Clocked on paper',
  started_at: new Date(began).toISOString(),
  ended_at: new Date(began + 3_600_000).toISOString(),
})

let pdf: Uint8Array = new Uint8Array()
for (let tries = 0; pdf.length === 0 && tries < 120; tries++)
  try {
    pdf = await api.file('/api/v1/quotes/{row_id}/pdf', quote)
  } catch (error) {
    if (!(error instanceof ApiProblem) || error.problem.code !== 'no_pdf') throw error
    await new Promise((resolve) => setTimeout(resolve, 500))
  }

const refused = await api.post('/api/v1/customers', { id: customer, name: 'Again' }).catch((error: unknown) => error)
process.stdout.write(
  JSON.stringify({
    digest_is_of_the_text: hashed === digest,
    state: offered.state,
    matches: approval.matches,
    hours_of_job: entry.job_id === job,
    pdf: new TextDecoder().decode(pdf.slice(0, 5)),
    refused: refused instanceof ApiProblem ? refused.problem.code : null,
  }),
)
