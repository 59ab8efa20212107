import type { BillingSettings } from '../../../domain/contract'
import { readCountry } from '../../../domain/customers/countries'
import { isDecimal, plainDecimal } from '../../../domain/numbers/decimal'
import { billingSettings as t } from '../../../domain/words/billingSettings'
import { countryWords } from '../../../domain/words/country'
import { badAmount } from '../../badAmount'
import { format } from '../../shopFormat'

/** The settings that are typed as they are stored. */
export const TEXTS = [
  'legal_name',
  'street',
  'city',
  'region',
  'postcode',
  'country',
  'tax_number',
  'company_number',
  'invoice_words',
  'receipt_words',
  'invoice_prefix',
  'credit_prefix',
  'iban',
  'bic',
  'account_name',
  'payment_url',
] as const

/** Where customers pay to. */
const PAID_TO = ['iban', 'bic', 'account_name', 'payment_url'] as const

/** Whether customers would pay to somewhere else: the server then wants to know first who is there. */
export const changesPaidTo = (seen: BillingSettings, fields: SettingsFields): boolean =>
  PAID_TO.some((name) => fields[name].trim() !== seen[name])

export type SettingsFields = Record<(typeof TEXTS)[number], string> & {
  labor: BillingSettings['labor']
  tolerance: string
  payment_days: string
  reminder_days: string
  warranty_days: string
  warranty_hours: string
  hour_cost: string
}

export function typedSettings(row: BillingSettings): SettingsFields {
  const texts = Object.fromEntries(TEXTS.map((name) => [name, row[name]]))
  return {
    ...(texts as Record<(typeof TEXTS)[number], string>),
    labor: row.labor,
    tolerance: format.value.typedMoney(row.tolerance_minor),
    payment_days: String(row.payment_days),
    reminder_days: row.reminder_days.join(', '),
    warranty_days: row.warranty_days === null ? '' : String(row.warranty_days),
    warranty_hours: row.warranty_hours === null ? '' : format.value.number(row.warranty_hours),
    hour_cost: format.value.typedMoney(row.hour_cost_minor ?? null),
  }
}

const PREFIX = /^[A-Z][A-Z0-9]{0,7}$/

/** A whole number from 0; null for an empty field, undefined where none can be read. */
function readWhole(typed: string, most: number): number | null | undefined {
  const text = typed.trim()
  if (!text) return null
  return /^\d{1,4}$/.test(text) && Number(text) <= most ? Number(text) : undefined
}

function readHours(typed: string): string | null | undefined {
  if (!typed.trim()) return null
  const decimal = format.value.readNumber(typed)
  if (decimal === null || !isDecimal(decimal)) return undefined
  return Number(decimal) >= 0 && Number(decimal) <= 10_000 ? plainDecimal(decimal) : undefined
}

/** An amount from zero; null for an empty field, undefined where none can be read. */
function readCost(typed: string): number | null | undefined {
  if (!typed.trim()) return null
  const minor = format.value.readMoney(typed)
  return minor === null || minor < 0 ? undefined : minor
}

function readReminders(typed: string): number[] | undefined {
  const days = typed
    .split(/[\s,;]+/)
    .filter(Boolean)
    .map(Number)
  const fits = days.every(
    (day, at) => Number.isInteger(day) && day >= 1 && day <= 365 && day > (days[at - 1] ?? 0),
  )
  return fits && days.length <= 6 ? days : undefined
}

export function readSettings(fields: SettingsFields) {
  const texts = Object.fromEntries(TEXTS.map((name) => [name, fields[name].trim()]))
  return {
    ...(texts as Record<(typeof TEXTS)[number], string>),
    country: readCountry(fields.country),
    labor: fields.labor,
    tolerance_minor: fields.tolerance.trim() ? format.value.readMoney(fields.tolerance) : 0,
    payment_days: readWhole(fields.payment_days, 365) ?? undefined,
    reminder_days: readReminders(fields.reminder_days),
    warranty_days: readWhole(fields.warranty_days, 3650),
    warranty_hours: readHours(fields.warranty_hours),
    hour_cost_minor: readCost(fields.hour_cost),
  }
}

export function settingsErrors(fields: SettingsFields) {
  const read = readSettings(fields)
  return {
    country: readCountry(fields.country) === undefined && countryWords.bad,
    invoice_prefix: !PREFIX.test(read.invoice_prefix) && t.badPrefix,
    credit_prefix:
      (!PREFIX.test(read.credit_prefix) && t.badPrefix) ||
      (read.credit_prefix === read.invoice_prefix && t.samePrefix),
    tolerance: (read.tolerance_minor === null || read.tolerance_minor < 0) && badAmount(),
    payment_days: read.payment_days === undefined && t.badDays,
    reminder_days: read.reminder_days === undefined && t.badReminders,
    warranty_days: read.warranty_days === undefined && t.badNumber,
    warranty_hours: read.warranty_hours === undefined && t.badNumber,
    hour_cost: read.hour_cost_minor === undefined && badAmount(),
  }
}
