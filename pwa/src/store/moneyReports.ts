import { call } from '../api/client'
import type {
  SchemaComebacksReport,
  SchemaMarginReport,
  SchemaPartsTurnedReport,
  SchemaQuotedBilledReport,
  SchemaQuoteOutcomesReport,
  SchemaTakingsReport,
} from '../api/schema'
import { type Day, daysAfter } from '../domain/time'

export type QuoteOutcomes = SchemaQuoteOutcomesReport
export type Takings = SchemaTakingsReport
export type Margin = SchemaMarginReport
export type PartsTurned = SchemaPartsTurnedReport
export type Comebacks = SchemaComebacksReport
export type QuotedBilled = SchemaQuotedBilledReport

/** The last so many days, today included. */
export const lastDays = (count: number, today: Day) => ({ first: daysAfter(today, 1 - count), last: today })

export type DayRange = ReturnType<typeof lastDays>

/** The address of a report of the server as a table. */
export const tableOf = (report: string, { first, last }: DayRange) =>
  `/api/v1/reports/${report}.csv?first=${first}&last=${last}`

const read =
  <Answer>(report: string) =>
  ({ first, last }: DayRange) =>
    call<Answer>('GET', `/api/v1/reports/${report}?first=${first}&last=${last}`)

export const readQuoteOutcomes = read<QuoteOutcomes>('quote-outcomes')
export const readTakings = read<Takings>('takings')
export const readMargin = read<Margin>('margin')
export const readPartsTurned = read<PartsTurned>('parts-turned')
export const readComebacks = read<Comebacks>('comebacks')
export const readQuotedBilled = read<QuotedBilled>('quoted-billed')
