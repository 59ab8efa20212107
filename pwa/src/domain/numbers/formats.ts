import type { Day, Moment } from '../time'
import { minorDigits } from './money.ts'

/** Formats and parses numbers, money and dates in the format of a shop. */
export interface NumberFormats {
  /** `412.50` of the shop's currency from 41250 minor units, with its sign: "$412.50". */
  money(minor: number): string
  /** The same amount as a person would type it: "412.50"; empty for nothing. */
  typedMoney(minor: number | null): string
  /** Whole minor units from typed text; null when it is not an amount of this currency. */
  readMoney(typed: string): number | null
  /** A decimal text ("1.25") as this shop writes it ("1,25" where a comma is used). */
  number(decimal: string): string
  /** A decimal text from typed text; null when it is not a number. Keeps every digit typed. */
  readNumber(typed: string): string | null
  /** "6 %" in the shop's format, from the percent as decimal text ("6"). */
  percent(decimal: string): string
  /** "Nov 27, 2026" */
  day(day: Day): string
  /** "Fri, Nov 27" */
  weekday(day: Day): string
  /** "Wednesday, November 25" */
  longDay(day: Day): string
  /** "November 2026" */
  month(day: Day): string
  /** Time of day of a moment in the shop's zone. */
  time(at: Moment): string
  /** Day and time of a moment in the shop's zone. */
  moment(at: Moment): string
  /** "3 minutes ago" between two times in ms since 1970. */
  since(then_ms: number, now_ms: number): string
}

const STEPS = [
  ['day', 86_400_000],
  ['hour', 3_600_000],
  ['minute', 60_000],
] as const satisfies readonly (readonly [Intl.RelativeTimeFormatUnit, number])[]

const known = new Map<string, NumberFormats>()

/** @param locale a BCP 47 tag such as `en-US`; @param currency ISO 4217; @param zone an IANA zone */
export function numberFormatsFor(locale: string, currency: string, zone: string): NumberFormats {
  const key = `${locale} ${currency} ${zone}`
  const found = known.get(key)
  if (found) return found
  const made = figures(locale, currency, zone)
  known.set(key, made)
  return made
}

function figures(locale: string, currency: string, zone: string): NumberFormats {
  const digits = { numberingSystem: 'latn' } as const
  // Not the platform's number of digits: it drops those no longer paid in coin (HUF, COP), which amounts still have.
  const places = minorDigits(currency)
  const fixed = { minimumFractionDigits: places, maximumFractionDigits: places }
  const money = new Intl.NumberFormat(locale, { ...digits, ...fixed, style: 'currency', currency })
  const plain = new Intl.NumberFormat(locale, { ...digits, maximumFractionDigits: 20 })
  const typed = new Intl.NumberFormat(locale, {
    ...digits,
    ...fixed,
    useGrouping: false,
  })
  const percent = new Intl.NumberFormat(locale, { ...digits, style: 'percent', maximumFractionDigits: 6 })
  const since = new Intl.RelativeTimeFormat(locale, { numeric: 'auto' })
  const group = plain.formatToParts(1234567).find((part) => part.type === 'group')?.value ?? ''
  const readNumber = (text: string) => readDecimal(text, group)
  return {
    money: (minor) => money.format(shifted(minor, places)),
    typedMoney: (minor) => (minor === null ? '' : typed.format(shifted(minor, places))),
    readMoney(text) {
      const decimal = readNumber(text)
      if (decimal === null) return null
      const [whole = '', fraction = ''] = decimal.split('.')
      if (fraction.length > places) return null
      const minor = Number(whole + fraction.padEnd(places, '0'))
      return Number.isSafeInteger(minor) ? minor : null
    },
    number: (decimal) => plain.format(decimal as Intl.StringNumericLiteral),
    readNumber,
    percent: (decimal) => percent.format(`${decimal}e-2` as Intl.StringNumericLiteral),
    ...dates(locale, zone),
    since(then_ms, now_ms) {
      const past = now_ms - then_ms
      for (const [unit, length] of STEPS) {
        if (Math.abs(past) >= length) return since.format(-Math.trunc(past / length), unit)
      }
      return since.format(0, 'second')
    },
  }
}

/** Days are given without a time, so UTC keeps them; moments are shown in the zone. */
function dates(locale: string, zone: string) {
  const written = (options: Intl.DateTimeFormatOptions, timeZone = 'UTC') => {
    const format = new Intl.DateTimeFormat(locale, { timeZone, ...options })
    return (each: string) => format.format(Date.parse(each))
  }
  return {
    day: written({ dateStyle: 'medium' }),
    weekday: written({ weekday: 'short', month: 'short', day: 'numeric' }),
    longDay: written({ weekday: 'long', month: 'long', day: 'numeric' }),
    month: written({ month: 'long', year: 'numeric' }),
    time: written({ timeStyle: 'short' }, zone),
    moment: written({ dateStyle: 'medium', timeStyle: 'short' }, zone),
  }
}

function shifted(minor: number, places: number): Intl.StringNumericLiteral {
  return `${minor}e-${places}` as Intl.StringNumericLiteral
}

/**
 * "1,250.5", "1.250,5", "1 250,5" and "1250.5" all give "1250.5". One lone separator is the decimal
 * one, unless it is the shop's own mark of thousands with exactly three digits behind it.
 */
function readDecimal(text: string, group: string): string | null {
  const bare = text
    .trim()
    .replace(/[\s'’]/gu, '')
    .replace(/^\u2212/u, '-')
  if (!/^-?(\d[\d.,]*|[.,]\d+)$/u.test(bare)) return null
  const marks = [...bare].filter((sign) => sign === '.' || sign === ',')
  const last = marks.at(-1)
  if (last === undefined) return bare
  const behind = bare.length - bare.lastIndexOf(last) - 1
  const alike = marks.every((mark) => mark === last)
  const isThousands = alike && (marks.length > 1 || (last === group && behind === 3))
  const decimal = isThousands ? '' : last
  const thousands = decimal ? (decimal === '.' ? ',' : '.') : last
  const [whole = '', fraction, ...rest] = decimal ? bare.split(decimal) : [bare]
  if (rest.length || fraction?.includes(thousands)) return null
  if (whole.includes(thousands) && !new RegExp(`^-?\\d{1,3}([${thousands}]\\d{3})+$`, 'u').test(whole))
    return null
  const units = whole.replaceAll(thousands, '') || '0'
  const signed = units === '-' ? '-0' : units
  return fraction ? `${signed}.${fraction}` : signed
}
