import { saveFile } from '../../saveFile'

/**
 * CSV by RFC 4180: fields with a comma, a quote or a line break are quoted, quotes are doubled, lines end in CR LF.
 *
 * Text that a spreadsheet would run as a formula gets an apostrophe in front, by the server's rule (`plain_cell`): it begins,
 * after blanks, with = + - @, one of their full-width forms, a tab or a line break (OWASP, "CSV Injection"). Numbers are
 * written as numbers, negative ones too. A plain telephone number (+ and digits, spaces, hyphens, brackets) is left as it
 * is: without letters it can name no function, cell or program, and with the apostrophe it could not be dialed or matched.
 */
export type CsvField = string | number | CsvAmount | null

/** An amount as a plain decimal, with all digits of its currency: "-12.50". It is a number, so it never becomes text. */
export interface CsvAmount {
  readonly amount: string
}

const FORMULA = /^(?!\+[\d ()-]{5,}$) *[=+\-@\t\r\n＝＋－＠]/

function csvField(value: CsvField): string {
  if (value === null) return ''
  if (typeof value === 'object') return value.amount
  const text = typeof value === 'string' ? value.replaceAll('\0', '').replace(FORMULA, "'$&") : String(value)
  return /[",\r\n]/u.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}

export function csvText(rows: readonly (readonly CsvField[])[]): string {
  return rows.map((row) => `${row.map(csvField).join(',')}\r\n`).join('')
}

/** Saves text as a file of the browser, in UTF-8 with the mark by which spreadsheets tell it. */
export function downloadCsv(name: string, text: string): void {
  saveFile(name, new Blob(['\ufeff', text], { type: 'text/csv;charset=utf-8' }))
}
