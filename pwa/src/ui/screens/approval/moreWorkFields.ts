import type { Finding, Shown } from '../../../domain/contract'
import { LONGEST_FOUND } from '../../../domain/contract'
import type { DecimalText } from '../../../domain/numbers/decimal'
import type { Minor } from '../../../domain/numbers/money'
import type { ShopPrices } from '../../../domain/quotes/book'
import type { WrittenLine as QuoteLineFields } from '../../../domain/quotes/lines'
import { offerDocument } from '../../../domain/quotes/offer'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { wordsIn } from '../../../domain/words/reader'
import { nextQuoteKind } from '../../../store/approvalRequests'
import { languageOf } from '../../readerLanguage'
import { format, today } from '../../shopFormat'

const t = en.asking

export interface MoreWorkFormFields {
  words: string
  left: string
  operation: string
  hours: string
  /** True where a person typed the hours: suggestions from history no longer replace them. */
  byHand: boolean
  parts: string
  later: string
}

/** What the total consists of, as text, and its price if done later. */
export function madeOf(lines: readonly Line[], later: number | undefined): string[] {
  const read = format.value
  const made = lines.map(({ hours, unit_price_minor }) =>
    hours == null ? t.partsBy(read.money(unit_price_minor ?? 0)) : t.hoursBy(read.number(hours)),
  )
  return later === undefined ? made : [...made, t.laterBy(read.money(later))]
}

type Errors = Partial<Record<keyof MoreWorkFormFields, string>>

export type Line = Omit<QuoteLineFields, 'id' | 'position'> & { finding_id?: string | null }

interface ParsedMoreWork {
  lines: Line[] | null
  errors: Errors
  /** Neither hours nor parts yet. */
  nothing: boolean
}

/** The quote lines of what was typed, or the errors by field. */
export function readMoreWork(typed: MoreWorkFormFields, row: Finding): ParsedMoreWork {
  const read = format.value
  const errors: Errors = {}
  const money = (field: 'parts' | 'later') => {
    const minor = typed[field].trim() ? read.readMoney(typed[field]) : 0
    if (minor === null || minor < 0) errors[field] = t.missingMoney
    return minor ?? 0
  }
  const hours = typed.hours.trim() ? read.readNumber(typed.hours) : '0'
  const parts = money('parts')
  const later = money('later')
  if (!typed.words.trim()) errors.words = t.missingWords
  if (hours === null || hours.startsWith('-')) errors.hours = t.missingNumber
  const nothing = hours !== null && Number(hours) === 0 && parts === 0 && !errors.parts
  if (later > 0 && later < parts && !errors.parts) errors.later = t.laterLess
  if (nothing) errors.hours = t.nothing
  if (Object.keys(errors).length || hours === null) return { lines: null, errors, nothing }
  return { lines: linesOf(typed, { hours, parts, later }, row), errors: {}, nothing }
}

/** One line for the labor and one for the parts, if any; the first one carries the finding. */
function linesOf(
  typed: MoreWorkFormFields,
  { hours, parts, later }: { hours: DecimalText; parts: Minor; later: Minor },
  row: Finding,
): Line[] {
  const told = wordsIn(languageOf(row.job_id))
  const words = typed.words.trim()
  const left = typed.left.trim()
  const found = row.words.trim() === words ? '' : row.words.slice(0, LONGEST_FOUND)
  const about = { finding_id: row.id, rank: row.rank }
  const first = { included: left && told.quote.consequence(left), ...(found && { found }) }
  const isWorked = Number(hours) > 0
  const operation = typed.operation.trim()
  const labor: Line = {
    ...about,
    kind: 'labor',
    words,
    ...first,
    work: 'repair',
    hours,
    ...(later > 0 && { later_minor: later - parts }),
    ...(operation && { operation }),
  }
  const part: Line = {
    ...about,
    kind: 'part',
    words: told.line.partsOf(words),
    ...(!isWorked && first),
    quantity: '1',
    unit_price_minor: parts,
    ...(!isWorked && later > 0 && { later_minor: later }),
  }
  return [...(isWorked ? [labor] : []), ...(parts > 0 ? [part] : [])]
}

const NO_ID = '00000000-0000-0000-0000-000000000000'

export function documentOf(
  quote_id: string,
  lines: readonly (Line & { id?: string; position?: number })[],
  book: ShopPrices,
  shown: Shown,
  row: Finding,
) {
  return offerDocument({
    quote_id,
    revision: 1,
    kind: nextQuoteKind(row.job_id),
    shop_name: shown.shop,
    customer_name: shown.customer,
    machine: shown.machine,
    book,
    lines: lines.map(({ finding_id, ...line }, at) => ({
      id: `${NO_ID.slice(0, -1)}${at}`,
      position: at + 1,
      ...line,
    })),
    discount: null,
    exempt: shown.exempt,
    valid_until: daysAfter(today(), book.valid_days),
    language: shown.language,
  })
}
