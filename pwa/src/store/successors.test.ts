/** Time clocked on a quote that a signed revision replaced, on the phone: what is left, the report, the clock. */
import { readFileSync } from 'node:fs'
import { afterEach, expect, test } from 'vitest'
import type { Approval, Job, PriceBook, Quote, QuoteLine, TimeEntry } from '../domain/contract'
import { daysFrom } from '../domain/labor/worked'
import { agreed } from './agreed'
import { newId } from './browser/clock'
import { currentLine } from './currentLine'
import { Phone } from './fakes/phone'
import { FakeServer } from './fakes/server'
import { shopSession } from './session/shopSession'
import { nextAgreedLabor, recentWork, suggestedWork } from './timeEntries'
import { jobsIn } from './timeReports'

const ME = '0197c000-0000-7000-8000-00000000000a'
const born = { created_at: '2026-11-01T00:00:00Z', changed_at: '2026-11-01T00:00:00Z' }
const at = new URL('../../../fixtures/pricing/agreed.json', import.meta.url)
const { basis } = JSON.parse(readFileSync(at, 'utf8'))
const NOW = Date.parse('2026-11-23T18:00:00Z')
let phone: Phone | undefined

afterEach(async () => {
  shopSession.value = null
  await phone?.close()
})

type Labor = [id: string, words: string, hours: string]

/** A job with revisions of one quote, each with its labor at 85.00 an hour, and minutes clocked by line. */
async function phoneWith(
  revisions: { state: Quote['state']; labor: Labor[] }[],
  minutes: Record<string, number>,
): Promise<void> {
  const server = new FakeServer()
  server.put('job', { ...born, id: 'job', stage: 'repair', number: 'J-1', mark: '' } as Job)
  server.put('price_book', { ...born, id: 'book', prices: basis, confirmed: [] } as unknown as PriceBook)
  for (const [nth, { state, labor }] of revisions.entries()) {
    const id = `quote ${nth}`
    const replaces_id = nth ? `quote ${nth - 1}` : null
    const offered = { offered_at: '2026-11-02T00:00:00Z', basis, discount: { percent: null, minor: null } }
    server.put('quote', { ...born, id, job_id: 'job', state, replaces_id, shown: null, ...offered } as Quote)
    const decided = state === 'offered' ? 'open' : 'accepted'
    for (const [position, [line, words, hours]] of labor.entries())
      server.put('quote_line', {
        ...{
          ...born,
          id: line,
          quote_id: id,
          kind: 'labor',
          rank: 'needed',
          position,
          words,
          hours,
          decided,
        },
      } as QuoteLine)
    if (state !== 'offered')
      server.put('approval', { ...born, id: `yes ${nth}`, quote_id: id, matches: true } as Approval)
  }
  for (const [nth, [line_id, spent]] of Object.entries(minutes).entries()) {
    const started = Date.parse('2026-11-23T14:00:00Z') + nth * 3_600_000
    const [started_at, ended_at] = [started, started + spent * 60_000].map((ms) => new Date(ms).toISOString())
    const work = { member_id: ME, job_id: 'job', kind: 'repair', operation: '', line_id, state: 'closed' }
    server.put('time_entry', { ...born, id: `entry ${nth}`, ...work, started_at, ended_at } as TimeEntry)
  }
  phone = await Phone.open(server, { shop_id: newId(), member_id: ME })
  await phone.sync()
  shopSession.value = phone.shop
}

const replaced = (...labor: Labor[]) => ({ state: 'replaced', labor }) as const
const decided = (...labor: Labor[]) => ({ state: 'decided', labor }) as const
const WEEK = daysFrom('2026-11-23', 7, 'America/New_York')

test('16 min on the replaced line are 16 min of the 3 h that replaced it, and the clock goes on there', async () => {
  await phoneWith([replaced(['old', 'Fit a belt', '1']), decided(['new', 'Fit a belt', '3'])], { old: 16 })
  // 3 h at 85.00.
  expect(agreed('job', NOW)).toEqual({ total: 25500, over: 0, allowed: 0, beyond: 0 })
  const { progress } = jobsIn(WEEK)[0] ?? {}
  expect(progress).toMatchObject({ elsewhere: 0, quoted: 10800, clocked: 960 })
  expect(progress?.lines.map(({ line, clocked }) => [line.id, clocked])).toEqual([['new', 960]])
  await expect.poll(() => suggestedWork('job')?.line_id).toBe('new')
  expect(suggestedWork(null)?.line_id).toBe('new')
  expect(nextAgreedLabor('job')).toBeUndefined()
})

test('time on both lines of one work adds up, through two signed revisions', async () => {
  const revisions = [
    replaced(['a', 'Fit a belt', '1']),
    replaced(['b', 'Fit a belt', '3']),
    decided(['c', 'Fit a belt', '1.5']),
  ]
  await phoneWith(revisions, { a: 30, b: 60, c: 30 })
  // 2 h on 1.5 h: half an hour at 85.00.
  expect(agreed('job', NOW)).toMatchObject({ total: 12750, over: 4250 })
  await expect.poll(() => recentWork().map(({ work }) => work.line_id)).toEqual(['c'])
})

test('time on labor that the revision took out is beyond, and its line stays as it was', async () => {
  await phoneWith([replaced(['old', 'Fit a belt', '1']), decided(['new', 'Grease the deck', '3'])], {
    old: 30,
  })
  // Half an hour at 85.00.
  expect(agreed('job', NOW)).toMatchObject({ total: 25500, over: 4250 })
  expect([currentLine('old'), suggestedWork('job')?.line_id]).toEqual(['old', 'old'])
})

test('until the revision is decided the signed line keeps its time', async () => {
  await phoneWith(
    [decided(['old', 'Fit a belt', '1']), { state: 'offered', labor: [['new', 'Fit a belt', '3']] }],
    {
      old: 90,
    },
  )
  // An hour and a half on 1 h.
  expect(agreed('job', NOW)).toMatchObject({ total: 8500, over: 4250 })
  expect(suggestedWork('job')?.line_id).toBe('old')
})
