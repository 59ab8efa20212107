import type { FindingRank, LineKind } from '../../../domain/contract'
import type { NumberFormats } from '../../../domain/numbers/formats'
import type { ShopPrices } from '../../../domain/quotes/book'
import type { WrittenLine } from '../../../domain/quotes/lines'
import { en } from '../../../domain/words/index'
import { badAmount } from '../../badAmount'

/** The fields of a line as typed; numbers are text. */
export interface LineFormFields {
  words: string
  included: string
  found: string
  rank: FindingRank | null
  findingId: string
  /** hours: labor by the hour; cost: a part by cost and mark-up; set: a set price; book: the diagnosis fee. */
  priced: 'hours' | 'cost' | 'set' | 'book'
  /** The name of the work, by which clocked hours are grouped. */
  operation: string
  hours: string
  /** True where a person typed the hours: suggestions from history no longer replace them. */
  byHand: boolean
  rateKey: string
  /** The kind of work of an existing line, kept as long as its rate (`workRate`) is. */
  work?: string
  workRate?: string
  quantity: string
  unitCost: string
  price: string
  core: string
  /** Absent in drafts of earlier builds, as `taxed`. */
  partNumber?: string
  /** Overrides what the tax profile says; empty: it does not. */
  taxed?: '' | 'yes' | 'no'
  /** The description that was taken from an earlier line. */
  taken?: string
  distance: string
  zoneKey: string
  off: 'none' | 'percent' | 'amount'
  offPercent: string
  offAmount: string
  later: string
  /** The id of the line whose work this one is part of; absent in drafts of earlier builds, as the next. */
  workId?: string
  /** apart: a question of its own though part of a work; agreed: not asked at all. */
  asked?: 'yes' | 'apart' | 'agreed'
}

/** The text fields. */
type LineTextField = Exclude<
  keyof LineFormFields,
  'byHand' | 'work' | 'workRate' | 'workId' | 'asked' | 'partNumber' | 'taxed' | 'taken'
>

export type LineErrors = Partial<Record<keyof LineFormFields, string>>

/** A line without its id and position. */
export type LineFigures = Omit<WrittenLine, 'id' | 'position'>

export function blankLine(kind: LineKind, book: ShopPrices): LineFormFields {
  return {
    words: '',
    included: '',
    found: '',
    rank: null,
    findingId: '',
    priced: kind === 'labor' ? 'hours' : 'set',
    operation: '',
    hours: '1',
    byHand: false,
    rateKey: '',
    quantity: '1',
    unitCost: '',
    price: '',
    core: '',
    partNumber: '',
    taxed: '',
    distance: '',
    zoneKey: book.travel.zones[0]?.key ?? '',
    off: kind === 'discount' ? 'percent' : 'none',
    offPercent: '',
    offAmount: '',
    later: '',
    workId: '',
    asked: 'yes',
  }
}

/** The fields of an existing line. */
export function toLineFormFields(
  line: WrittenLine & { finding_id: string | null },
  blank: LineFormFields,
  read: NumberFormats,
): LineFormFields {
  const number = (decimal: string | null | undefined) => (decimal == null ? '' : read.number(decimal))
  const money = (minor: number | null | undefined) => read.typedMoney(minor ?? null)
  const set = line.fixed_minor ?? line.unit_price_minor
  return {
    ...blank,
    words: line.words,
    taken: line.words,
    included: line.included ?? '',
    found: line.found ?? '',
    rank: line.rank,
    findingId: line.finding_id ?? '',
    priced: set == null ? pricedBy(line) : 'set',
    operation: line.operation ?? '',
    hours: number(line.hours ?? '1'),
    byHand: true,
    rateKey: line.rate_key ?? '',
    work: line.work ?? '',
    workRate: line.rate_key ?? '',
    quantity: number(line.quantity ?? '1'),
    unitCost: money(line.unit_cost_minor),
    price: money(set),
    core: money(line.core_minor),
    partNumber: line.part_number ?? '',
    taxed: line.taxed == null ? '' : line.taxed ? 'yes' : 'no',
    distance: number(line.distance),
    zoneKey: line.zone_key ?? blank.zoneKey,
    off: line.discount_percent != null ? 'percent' : line.discount_minor != null ? 'amount' : 'none',
    offPercent: number(line.discount_percent),
    offAmount: money(line.discount_minor),
    later: money(line.later_minor),
    workId: line.belongs_to_id ?? '',
    asked: line.agreed ? 'agreed' : line.apart ? 'apart' : 'yes',
  }
}

function pricedBy(line: WrittenLine): LineFormFields['priced'] {
  if (line.kind === 'labor') return 'hours'
  return line.kind === 'part' ? 'cost' : line.work === 'diagnosis' ? 'book' : 'set'
}

/** Parses the fields; returns the line, or errors by field. */
export function parseLine(
  kind: LineKind,
  typed: LineFormFields,
  book: ShopPrices,
  read: NumberFormats,
): { figures: LineFigures; faults: null } | { figures: null; faults: LineErrors } {
  const faults: LineErrors = {}
  const number = (field: LineTextField): string | null => {
    const found = read.readNumber(typed[field] ?? '')
    if (found === null || found.startsWith('-')) faults[field] = en.quote.line.missingNumber
    return found
  }
  const money = (field: LineTextField, optional = false): number | null => {
    if (optional && !(typed[field] ?? '').trim()) return null
    const found = read.readMoney(typed[field] ?? '')
    if (found === null || found < 0) faults[field] = badAmount()
    return found
  }
  if (!typed.words.trim()) faults.words = en.quote.line.missingWords
  // Zero is the price of a book in which nobody entered one.
  if (kind === 'travel' && isTravelFree(book)) faults.distance = en.quote.line.noTravelPrice
  if (kind === 'fee' && typed.priced === 'book' && !book.diagnosis_fee_minor)
    faults.priced = en.quote.line.noDiagnosisFee
  const figures: LineFigures = {
    kind,
    rank: typed.rank ?? 'needed',
    words: typed.words.trim(),
    included: typed.included.trim(),
    ...(typed.found && { found: typed.found }),
    ...priceFigures(kind, typed, book, number, money),
    ...askedFigures(kind, typed),
    ...(typed.off === 'percent' && { discount_percent: number('offPercent') }),
    ...(typed.off === 'amount' && { discount_minor: money('offAmount') }),
    ...(kind !== 'discount' && typed.taxed && { taxed: typed.taxed === 'yes' }),
    ...(kind !== 'discount' && (typed.later ?? '').trim() && { later_minor: money('later') }),
  }
  return Object.keys(faults).length ? { figures: null, faults } : { figures, faults: null }
}

const isTravelFree = ({ travel }: ShopPrices): boolean =>
  travel.mode === 'distance' && !travel.minor_per_unit && !travel.minimum_minor

/** With what a line is one question, or whether it is asked at all. */
function askedFigures(kind: LineKind, { workId, asked }: LineFormFields): Partial<LineFigures> {
  if (kind === 'labor' || kind === 'part')
    return { belongs_to_id: workId || null, apart: (workId && asked === 'apart') || null }
  return kind === 'travel' || kind === 'fee' ? { agreed: asked === 'agreed' || null } : {}
}

function priceFigures(
  kind: LineKind,
  typed: LineFormFields,
  book: ShopPrices,
  number: (field: LineTextField) => string | null,
  money: (field: LineTextField, optional?: boolean) => number | null,
): Partial<LineFigures> {
  const set = typed.priced === 'set'
  switch (kind) {
    case 'labor':
      return {
        ...(typed.operation.trim() && { operation: typed.operation.trim() }),
        ...(set
          ? { fixed_minor: money('price') }
          : { hours: number('hours'), rate_key: typed.rateKey || null, work: workOf(typed, book) }),
      }
    case 'part':
      return {
        part_number: typed.partNumber?.trim() || null,
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

/** The kind of work of the line as it was while its rate is unchanged; else the one that the rate is set for. */
function workOf({ rateKey, work, workRate }: LineFormFields, book: ShopPrices): string {
  if (work && workRate === rateKey) return work
  return book.labor_rates.find((rate) => rate.key === rateKey)?.work ?? 'repair'
}
