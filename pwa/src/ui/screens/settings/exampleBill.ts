import type { QuoteTotals } from '../../../domain/contract'
import { RULES_VERSION } from '../../../domain/contract'
import type { NumberFormats } from '../../../domain/numbers/formats'
import type { ShopPrices } from '../../../domain/quotes/book'
import type { WrittenLine } from '../../../domain/quotes/lines'
import { computeTotals } from '../../../domain/quotes/totals'
import { en } from '../../../domain/words'

const HOURS = '1.5'
const PART_MINOR = 4000
const DISTANCE = '12'

const t = en.prices.billLines

/** A small quote on the price book as it is, with the tax profile at a place: lines by name, and their totals. */
export function exampleBill(
  book: ShopPrices,
  at: number,
  figures: NumberFormats,
): { lines: { name: string; amount: number; taxed: boolean }[]; sums: QuoteTotals } {
  const basis = { ...book, tax_profiles: book.tax_profiles.slice(at, at + 1), rules_version: RULES_VERSION }
  const zone_key = book.travel.zones[0]?.key ?? null
  const part = book.part_bands.length ? { unit_cost_minor: PART_MINOR } : { unit_price_minor: PART_MINOR }
  const lines = [
    { kind: 'labor', words: t.labor(figures.number(HOURS)), hours: HOURS, work: 'repair' },
    { kind: 'part', words: t.part(figures.money(PART_MINOR)), quantity: '1', ...part },
    {
      kind: 'travel',
      words: t.travel(figures.number(DISTANCE), en.quote.line.unit[book.travel.unit]),
      ...(book.travel.mode === 'zone' ? { zone_key } : { distance: DISTANCE }),
    },
  ].map((line, position) => ({ id: line.kind, position, rank: 'needed', ...line }) as WrittenLine)
  const sums = computeTotals(basis, lines)
  return {
    lines: lines.flatMap(({ words }, line) => {
      const total = sums.lines[line]
      return total?.amount_minor ? [{ name: words, amount: total.amount_minor, taxed: total.taxable }] : []
    }),
    sums,
  }
}
