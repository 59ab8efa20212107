// The phone's side of test_twin.py: one case a line on standard input, one outcome a line on output.
import { createInterface } from 'node:readline'
import { basisOn } from '../../pwa/src/domain/book.ts'
import { checkBook, checkLines } from '../../pwa/src/domain/checks.ts'
import { FIGURES } from '../../pwa/src/domain/lines.ts'
import { minorDigits } from '../../pwa/src/domain/money.ts'
import { canonical, NotCanonical, offerDocument } from '../../pwa/src/domain/offer.ts'
import { reckon } from '../../pwa/src/domain/reckoning.ts'
import { QUOTE_TRANSITIONS } from '../../pwa/src/domain/states.ts'
import { ADDED, REFUSALS } from '../../pwa/src/domain/wording.ts'

function outcomeOf(quote: any) {
  const { book, lines, discount, exempt, currency } = quote
  const wrongBook = checkBook(book)
  if (wrongBook.length) return { refused: wrongBook }
  const basis = basisOn(book, quote.on)
  if (!basis) return { basis: null }
  const accepted = quote.accepted && new Set<string>(quote.accepted)
  const wrongLines = checkLines(basis, lines, { accepted, discount, currency })
  if (wrongLines.length) return { refused: wrongLines }
  return {
    reckoning: reckon(basis, lines, { accepted, discount, exempt }),
    offer: canonical(offerDocument({ ...quote.heading, book: basis, lines, discount, exempt })),
  }
}

function spelled(document: any) {
  try {
    return { canonical: canonical(document) }
  } catch (error) {
    if (!(error instanceof NotCanonical)) throw error
    return { path: error.path, code: error.code }
  }
}

/** What both twins hold as data: the life of a quote, the words, the digits of every currency asked for. */
function tables(currencies: string[]) {
  const digits = Object.fromEntries(currencies.map((one) => [one, minorDigits(one)]))
  return { states: QUOTE_TRANSITIONS, figures: FIGURES, refusals: REFUSALS, added: ADDED, digits }
}

for await (const line of createInterface({ input: process.stdin })) {
  const sent = JSON.parse(line)
  const outcome =
    'quote' in sent ? outcomeOf(sent.quote) : 'document' in sent ? spelled(sent.document) : tables(sent.currencies)
  console.log(JSON.stringify(outcome))
}
