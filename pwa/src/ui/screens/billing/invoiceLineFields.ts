import type { FindingRank, Invoice, InvoiceLine, LineKind, Stop } from '../../../domain/contract'
import { isDecimal, plainDecimal } from '../../../domain/numbers/decimal'
import { invoiceLineForm as t } from '../../../domain/words/invoices'
import { billingSettings, linesOfInvoice, putInvoiceLine } from '../../../store/invoices'
import { lastBilledTrip } from '../../../store/trips'
import { badAmount } from '../../badAmount'
import { format } from '../../shopFormat'

/** What a line may have besides what it needs, as typed. */
export interface MoreOfLine {
  off: 'none' | 'percent' | 'amount'
  offPercent: string
  offAmount: string
  taxed: '' | 'yes' | 'no'
  warrantyDays: string
  warrantyHours: string
  rank: FindingRank
}

/** A number from 0 to `most` as plain text; null for an empty field, undefined where none can be read. */
export function readUpTo(typed: string, most: number): string | null | undefined {
  if (!typed.trim()) return null
  const decimal = format.value.readNumber(typed)
  if (decimal === null || !isDecimal(decimal)) return undefined
  return Number(decimal) >= 0 && Number(decimal) <= most ? plainDecimal(decimal) : undefined
}

const MOST_DAYS = 3650
const MOST_HOURS = 10_000

/** A line as typed; a new one of labor or parts begins with the warranty of the settings, as billing a job does. */
export function typedMore(seen: InvoiceLine | null): MoreOfLine {
  const usual = billingSettings()
  const { warranty_days: days, warranty_hours: hours } = seen ?? usual ?? {}
  const { discount_percent, discount_minor, taxed } = seen ?? {}
  return {
    off: discount_percent != null ? 'percent' : discount_minor != null ? 'amount' : 'none',
    offPercent: discount_percent == null ? '' : format.value.number(discount_percent),
    offAmount: discount_minor == null ? '' : format.value.typedMoney(discount_minor),
    taxed: taxed == null ? '' : taxed ? 'yes' : 'no',
    warrantyDays: days == null ? '' : String(days),
    warrantyHours: hours == null ? '' : format.value.number(hours),
    rank: seen?.rank ?? 'needed',
  }
}

export function moreErrors(fields: MoreOfLine) {
  const { off, offPercent, offAmount, warrantyDays, warrantyHours } = fields
  const amount = format.value.readMoney(offAmount)
  const days = readUpTo(warrantyDays, MOST_DAYS)
  return {
    offPercent: off === 'percent' && !readUpTo(offPercent, 100) && t.badPercent,
    offAmount: off === 'amount' && (amount === null || amount < 0) && badAmount(),
    warrantyDays: (days === undefined || days?.includes('.')) && t.badDays,
    warrantyHours: readUpTo(warrantyHours, MOST_HOURS) === undefined && t.badHours,
  }
}

/** The figures of a line; null or left out where nothing was typed. Only of fields without errors. */
export function readMore(fields: MoreOfLine, warranted: boolean) {
  const days = readUpTo(fields.warrantyDays, MOST_DAYS)
  return {
    rank: fields.rank,
    discount_percent: fields.off === 'percent' ? (readUpTo(fields.offPercent, 100) ?? null) : null,
    discount_minor: fields.off === 'amount' ? format.value.readMoney(fields.offAmount) : null,
    taxed: fields.taxed === '' ? null : fields.taxed === 'yes',
    warranty_days: warranted && days ? Number(days) : null,
    warranty_hours: warranted ? (readUpTo(fields.warrantyHours, MOST_HOURS) ?? null) : null,
  }
}

export interface Fields extends MoreOfLine {
  kind: LineKind
  words: string
  /** Pieces, hours, or how far a trip went. */
  quantity: string
  zone: string
  price: string
  /** The price is for one, or for all of a fee or supplies together. */
  priced: 'each' | 'together'
}

export const isCounted = (kind: LineKind) => kind === 'part' || kind === 'fee' || kind === 'supplies'

/** How a line of travel is priced by the book of its invoice; null where it has a price for the whole alone. */
export const travelOf = (row: Invoice, kind: LineKind) => (kind === 'travel' ? row.basis.travel.mode : null)

/** A number within 10,000 of zero as decimal text; null for an empty field, undefined where none can be read. */
function readNumber(typed: string): string | null | undefined {
  if (!typed.trim()) return null
  const decimal = format.value.readNumber(typed)
  return decimal !== null && isDecimal(decimal) && Math.abs(Number(decimal)) <= 10_000 ? decimal : undefined
}

function readPrice(typed: string): number | null | undefined {
  if (!typed.trim()) return null
  const minor = format.value.readMoney(typed)
  return minor === null || minor < 0 ? undefined : minor
}

/** Whether a kind of line may have one price for all of it, however many there are. */
export const mayBeTogether = (kind: LineKind) => kind === 'fee' || kind === 'supplies'

export const isByOne = ({ kind, priced }: Fields) =>
  isCounted(kind) && !(mayBeTogether(kind) && priced === 'together')

/** The fields of a new line: of a trip with the figures last billed for its place. */
export function newLine(trip: { stop: Stop; words: string } | null): Fields {
  const blank: Fields = {
    kind: 'fee',
    words: '',
    quantity: '',
    zone: '',
    price: '',
    priced: 'each',
    ...typedMore(null),
  }
  if (!trip) return blank
  const { distance, zone_key } = lastBilledTrip(trip.stop.site_id)
  const quantity = distance === null ? '' : format.value.number(distance)
  return { ...blank, kind: 'travel', words: trip.words, quantity, zone: zone_key ?? '' }
}

export function typedLine(seen: InvoiceLine): Fields {
  const { kind, words, quantity, hours, distance, zone_key, unit_price_minor, fixed_minor } = seen
  const count = kind === 'labor' ? hours : kind === 'travel' ? distance : quantity
  return {
    kind,
    words,
    quantity: count === null ? '' : format.value.number(count),
    zone: zone_key ?? '',
    price: format.value.typedMoney(fixed_minor ?? unit_price_minor),
    priced: fixed_minor === null ? 'each' : 'together',
    ...typedMore(seen),
  }
}

/** Whether a line has a price without one that is typed: from its cost, its hours or the price book. */
const isPriced = ({ kind, quantity, zone }: Fields, row: Invoice, seen: InvoiceLine | null) =>
  kind === 'travel'
    ? Boolean(travelOf(row, kind) === 'zone' ? zone : quantity.trim())
    : (kind === 'labor' && Boolean(quantity.trim())) || Boolean(seen && seen.kind !== 'labor')

export function faultsOfLine(fields: Fields, row: Invoice, seen: InvoiceLine | null) {
  const { kind, words, quantity, price } = fields
  const minor = readPrice(price)
  const number = readNumber(quantity)
  const isBelow = (kind === 'labor' || kind === 'travel') && Number(number) < 0
  return {
    words: !words.trim() && t.missingWords,
    quantity: (number === undefined || isBelow) && t.badNumber,
    price: (minor === undefined || (minor === null && !isPriced(fields, row, seen))) && badAmount(),
    ...(kind !== 'discount' && moreErrors(fields)),
  }
}

/** Saves a line; null, and nothing is saved, where a figure cannot be read. `stop`: the trip that a new line is of. */
export function saveLine(row: Invoice, seen: InvoiceLine | null, stop: Stop | null, fields: Fields) {
  const { kind, words, zone } = fields
  const minor = readPrice(fields.price)
  const number = readNumber(fields.quantity)
  if (minor === undefined || number === undefined) return null
  const last = Math.max(-1, ...linesOfInvoice(row.id).map(({ position }) => position))
  const byOne = isByOne(fields)
  const travel = travelOf(row, kind)
  const figures = {
    ...(kind !== 'discount' && readMore(fields, kind === 'labor' || kind === 'part')),
    ...(isCounted(kind) && { quantity: number }),
    ...(kind === 'labor' && { hours: number }),
    ...(travel === 'distance' && { distance: number }),
    ...(travel === 'zone' && { zone_key: zone || null }),
    ...(byOne ? { unit_price_minor: minor } : { fixed_minor: minor }),
    ...(mayBeTogether(kind) && (byOne ? { fixed_minor: null } : { unit_price_minor: null })),
  }
  const source = stop ? 'travel' : 'other'
  const begun = { kind, rank: 'needed', position: last + 1, source, stop_id: stop?.id ?? null } as const
  return putInvoiceLine({ ...(seen ?? begun), invoice_id: row.id, words: words.trim(), ...figures })
}
