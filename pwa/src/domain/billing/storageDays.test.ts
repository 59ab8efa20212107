/** The vectors of `fixtures/billing`, which the server's twins run as well (`test_days.py`). */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { Language } from '../contract.ts'
import { numberFormatsFor } from '../numbers/formats.ts'
import { daysAfter } from '../time.ts'
import { billedWords } from '../words/storage.ts'
import { type ResumedDays, type StorageTerms, storageCharge } from './storageDays.ts'

interface Vector {
  name: string
  terms: StorageTerms | null
  notices: string[]
  through: string | null
  billed_minor: number
  resumed?: ResumedDays[]
  expect: object
}

const read = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../../../fixtures/billing/${name}`, import.meta.url), 'utf8'))
const vectors: Vector[] = read('storage.json')
const written: { language: Language; locale: string; words: string; paused_days: number }[] =
  read('storage_words.json')
const notice = (on: string) => ({ on, channel: 'email', address: 'ada@example.org' }) as const

test.each(vectors)('$name', ({ terms, notices, through, billed_minor, resumed = [], expect: wanted }) => {
  const more = { billed_minor, resumed }
  const { evidence, ...charge } = storageCharge(terms, notices.map(notice), through, more)
  expect({ ...charge, evidence: evidence.length }).toEqual({ paused_days: 0, ...wanted })
  expect(evidence.map(({ on }) => on)).toEqual(evidence.map(({ on }) => on).toSorted())
})

test.each(written)('the line of storage in $language', ({ language, locale, words, paused_days }) => {
  const { day, money } = numberFormatsFor(locale, 'USD', 'America/Chicago')
  const on = day('2026-11-01')
  const said = {
    days: 30,
    free: 7,
    since: on,
    through: day(daysAfter('2026-12-01', paused_days)),
    rate: money(300),
  }
  const more = {
    paused: paused_days > 0,
    cap: money(5000),
    before: money(600),
    on,
    how: 'email',
    address: 'ada@example.org',
  } as const
  expect(billedWords[language].stored({ ...said, ...more })).toBe(words)
})
