import type { PriceBook } from '../../../domain/book'
import type { Figures } from '../../../domain/figures'
import type { LineKind, QuoteLine } from '../../../domain/lines'
import type { Rank } from '../../../domain/rows'
import { en } from '../../../domain/words'

/** A line while it is typed: every figure still as the text in its field. */
export interface TypedLine {
  words: string
  included: string
  found: string
  rank: Rank | null
  findingId: string
  /** hours: labor by the hour; cost: a part by cost and mark-up; set: a set price; book: the diagnosis fee. */
  priced: 'hours' | 'cost' | 'set' | 'book'
  /** The name of the work, by which clocked hours gather. */
  operation: string
  hours: string
  /** The hours are a person's own, not the history's: they stay when another work is named. */
  byHand: boolean
  rateKey: string
  quantity: string
  unitCost: string
  price: string
  core: string
  distance: string
  zoneKey: string
  off: 'none' | 'percent' | 'amount'
  offPercent: string
  offAmount: string
  later: string
}

/** The fields that hold text. */
type TextField = Exclude<keyof TypedLine, 'byHand'>

export type LineFaults = Partial<Record<keyof TypedLine, string>>

/** The figures of a line: all but its id and its place on the quote. */
export type LineFigures = Omit<QuoteLine, 'id' | 'position'>

export function blankLine(kind: LineKind, book: PriceBook, maySeeCost: boolean): TypedLine {
  const priced = { labor: 'hours', part: maySeeCost && book.part_bands.length ? 'cost' : 'set' } as const
  return {
    words: '',
    included: '',
    found: '',
    rank: null,
    findingId: '',
    priced: kind === 'labor' || kind === 'part' ? priced[kind] : 'set',
    operation: '',
    hours: '1',
    byHand: false,
    rateKey: '',
    quantity: '1',
    unitCost: '',
    price: '',
    core: '',
    distance: '',
    zoneKey: book.travel.zones[0]?.key ?? '',
    off: kind === 'discount' ? 'percent' : 'none',
    offPercent: '',
    offAmount: '',
    later: '',
  }
}

/** The same line as text, to be changed. */
export function typedLine(
  line: QuoteLine & { finding_id: string | null },
  blank: TypedLine,
  read: Figures,
): TypedLine {
  const number = (decimal: string | null | undefined) => (decimal == null ? '' : read.number(decimal))
  const money = (minor: number | null | undefined) => read.typedMoney(minor ?? null)
  const set = line.fixed_minor ?? line.unit_price_minor
  return {
    ...blank,
    words: line.words,
    included: line.included ?? '',
    found: line.found ?? '',
    rank: line.rank,
    findingId: line.finding_id ?? '',
    priced: set == null ? pricedBy(line) : 'set',
    operation: line.operation ?? '',
    hours: number(line.hours ?? '1'),
    byHand: true,
    rateKey: line.rate_key ?? '',
    quantity: number(line.quantity ?? '1'),
    unitCost: money(line.unit_cost_minor),
    price: money(set),
    core: money(line.core_minor),
    distance: number(line.distance),
    zoneKey: line.zone_key ?? blank.zoneKey,
    off: line.discount_percent != null ? 'percent' : line.discount_minor != null ? 'amount' : 'none',
    offPercent: number(line.discount_percent),
    offAmount: money(line.discount_minor),
    later: money(line.later_minor),
  }
}

function pricedBy(line: QuoteLine): TypedLine['priced'] {
  if (line.kind === 'labor') return 'hours'
  return line.kind === 'part' ? 'cost' : line.work === 'diagnosis' ? 'book' : 'set'
}

/** What was typed, as figures; or what is wrong, by field. */
export function readLine(
  kind: LineKind,
  typed: TypedLine,
  book: PriceBook,
  read: Figures,
): { figures: LineFigures; faults: null } | { figures: null; faults: LineFaults } {
  const faults: LineFaults = {}
  const number = (field: TextField): string | null => {
    const found = read.readNumber(typed[field] ?? '')
    if (found === null || found.startsWith('-')) faults[field] = en.quote.line.missingNumber
    return found
  }
  const money = (field: TextField, optional = false): number | null => {
    if (optional && !(typed[field] ?? '').trim()) return null
    const found = read.readMoney(typed[field] ?? '')
    if (found === null || found < 0) faults[field] = en.quote.line.missingMoney
    return found
  }
  if (!typed.words.trim()) faults.words = en.quote.line.missingWords
  const figures: LineFigures = {
    kind,
    rank: typed.rank ?? 'needed',
    words: typed.words.trim(),
    included: typed.included.trim(),
    ...(typed.found && { found: typed.found }),
    ...priceFigures(kind, typed, book, number, money),
    ...(typed.off === 'percent' && { discount_percent: number('offPercent') }),
    ...(typed.off === 'amount' && { discount_minor: money('offAmount') }),
    ...(kind !== 'discount' && (typed.later ?? '').trim() && { later_minor: money('later') }),
  }
  return Object.keys(faults).length ? { figures: null, faults } : { figures, faults: null }
}

function priceFigures(
  kind: LineKind,
  typed: TypedLine,
  book: PriceBook,
  number: (field: TextField) => string | null,
  money: (field: TextField, optional?: boolean) => number | null,
): Partial<LineFigures> {
  const set = typed.priced === 'set'
  switch (kind) {
    case 'labor':
      return {
        ...(typed.operation.trim() && { operation: typed.operation.trim() }),
        ...(set
          ? { fixed_minor: money('price') }
          : { hours: number('hours'), rate_key: typed.rateKey || null, work: workOf(typed.rateKey, book) }),
      }
    case 'part':
      return {
        quantity: number('quantity'),
        core_minor: money('core', true),
        ...(set ? { unit_price_minor: money('price') } : { unit_cost_minor: money('unitCost') }),
      }
    case 'travel':
      return book.travel.mode === 'zone' ? { zone_key: typed.zoneKey } : { distance: number('distance') }
    case 'fee':
      return set ? { fixed_minor: money('price') } : { work: 'diagnosis' }
    case 'supplies':
      return { fixed_minor: money('price') }
    case 'discount':
      return {}
  }
}

/** A rate made for one kind of work says what work it is. */
function workOf(rateKey: string, book: PriceBook): string {
  return book.labor_rates.find((rate) => rate.key === rateKey)?.work ?? 'repair'
}
