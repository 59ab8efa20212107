// The phone's side of test_twin.py: one case a line on standard input, one outcome a line on output.
import { createInterface } from 'node:readline'
import { collect } from '../../pwa/src/domain/billing/collecting.ts'
import { creditFaults, mirrored } from '../../pwa/src/domain/billing/creditNotes.ts'
import { canonicalize } from '../../pwa/src/domain/canonicalJson.ts'
import { estimateHours } from '../../pwa/src/domain/labor/history.ts'
import { REFUSALS } from '../../pwa/src/domain/messages/quotes.ts'
import { minorDigits } from '../../pwa/src/domain/numbers/money.ts'
import { basisOn } from '../../pwa/src/domain/quotes/book.ts'
import { checkBook, checkLines } from '../../pwa/src/domain/quotes/checks.ts'
import { laterTotal } from '../../pwa/src/domain/quotes/later.ts'
import { offerDocument } from '../../pwa/src/domain/quotes/offer.ts'
import { questionsOf } from '../../pwa/src/domain/quotes/questions.ts'
import { computeTotals } from '../../pwa/src/domain/quotes/totals.ts'

function outcomeOf(quote: any) {
  const { book, lines, discount, exempt, currency } = quote
  const wrongBook = checkBook(book)
  if (wrongBook.length) return { refused: wrongBook }
  const today = basisOn(book, quote.on)
  if (!today) return { basis: null }
  const basis = { ...today, rules_version: quote.rules_version }
  const accepted = quote.accepted && new Set<string>(quote.accepted)
  const { billed } = quote
  const wrongLines = checkLines(basis, lines, { accepted, discount, currency, billed })
  if (wrongLines.length) return { refused: wrongLines }
  return {
    totals: computeTotals(basis, lines, { accepted, discount, exempt }),
    ...(Object.keys(quote.credited ?? {}).length ? { credited: creditedOf({ basis, discount, exempt }, lines, quote.credited) } : {}),
    later: laterTotal(basis, lines, { accepted, discount, exempt }),
    ...offerOf({ ...quote.heading, book: basis, lines, discount, exempt }),
  }
}

function creditedOf({ basis, discount, exempt }: any, lines: any, credited: Record<string, string | null>) {
  const whole = { percent: null, minor: null, ...discount }
  const taken = new Map(Object.entries(credited))
  const faults = creditFaults(lines, taken)
  if (faults.length) return faults.map(({ field, code }) => [field, code])
  const mirror = mirrored({ basis, discount: whole }, lines, taken)
  return computeTotals(mirror.basis, mirror.lines, { discount: mirror.discount, exempt })
}

function offerOf(input: any) {
  const document = offerDocument(input)
  const questions = questionsOf(document.lines).map(({ lines, apartFrom, ...question }) => ({
    ...question,
    lines: lines.map(({ id }) => id),
    apart_from: apartFrom,
  }))
  return { offer: canonicalize(document), questions }
}

function canonicalOf(document: any) {
  try {
    return { canonical: canonicalize(document) }
  } catch (error) {
    if (!(error instanceof TypeError)) throw error
    return { canonical: null }
  }
}

/** What the hours of a work say, by the phone. */
function hoursOf({ kinds, machine_kind }: any) {
  return estimateHours(kinds, machine_kind)
}

/** What both twins hold as data: the words, the digits of every currency asked for. */
function tables(currencies: string[]) {
  const digits = Object.fromEntries(currencies.map((one) => [one, minorDigits(one)]))
  return { refusals: REFUSALS, digits }
}

/** What is to be billed on a job; ids are numbers in order. */
function collectedOf({ basis, quotes, seconds, billed, parts, trips, storage, settings }: any) {
  let last = 0
  const mint = () => `00000000-0000-7000-8000-${String(++last).padStart(12, '0')}`
  const work = {
    quotes: quotes.map((quote: any) => ({ ...quote, accepted: new Set(quote.accepted) })),
    seconds: new Map<string, number>(Object.entries(seconds)),
    billed: new Set<string>(billed),
    parts,
    trips,
    storage,
  }
  return collect(basis, work, settings, mint)
}

function answer(sent: any) {
  if ('collect' in sent) return collectedOf(sent.collect)
  if ('quote' in sent) return outcomeOf(sent.quote)
  if ('document' in sent) return canonicalOf(sent.document)
  return 'kinds' in sent ? hoursOf(sent) : tables(sent.currencies)
}

for await (const line of createInterface({ input: process.stdin })) {
  const sent = JSON.parse(line)
  console.log(JSON.stringify(answer(sent)))
}
