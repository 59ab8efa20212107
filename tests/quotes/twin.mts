// The phone's side of test_twin.py: one case a line on standard input, one outcome a line on output.
import { createInterface } from 'node:readline'
import { basisOn } from '../../pwa/src/domain/quotes/book.ts'
import { canonicalize } from '../../pwa/src/domain/canonicalJson.ts'
import { checkBook, checkLines } from '../../pwa/src/domain/quotes/checks.ts'
import { laterTotal } from '../../pwa/src/domain/quotes/later.ts'
import { estimateHours } from '../../pwa/src/domain/labor/history.ts'
import { minorDigits } from '../../pwa/src/domain/numbers/money.ts'
import { offerDocument } from '../../pwa/src/domain/quotes/offer.ts'
import { questionsOf } from '../../pwa/src/domain/quotes/questions.ts'
import { computeTotals } from '../../pwa/src/domain/quotes/totals.ts'
import { REFUSALS } from '../../pwa/src/domain/messages/quotes.ts'

function outcomeOf(quote: any) {
  const { book, lines, discount, exempt, currency } = quote
  const wrongBook = checkBook(book)
  if (wrongBook.length) return { refused: wrongBook }
  const today = basisOn(book, quote.on)
  if (!today) return { basis: null }
  const basis = { ...today, rules_version: quote.rules_version }
  const accepted = quote.accepted && new Set<string>(quote.accepted)
  const wrongLines = checkLines(basis, lines, { accepted, discount, currency })
  if (wrongLines.length) return { refused: wrongLines }
  return {
    totals: computeTotals(basis, lines, { accepted, discount, exempt }),
    later: laterTotal(basis, lines, { accepted, discount, exempt }),
    ...offerOf({ ...quote.heading, book: basis, lines, discount, exempt }),
  }
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

function answer(sent: any) {
  if ('quote' in sent) return outcomeOf(sent.quote)
  if ('document' in sent) return canonicalOf(sent.document)
  return 'kinds' in sent ? hoursOf(sent) : tables(sent.currencies)
}

for await (const line of createInterface({ input: process.stdin })) {
  const sent = JSON.parse(line)
  console.log(JSON.stringify(answer(sent)))
}
