import type { Limit } from '../../../domain/contract'
import { faultsOfLimit, isAmount } from '../../../domain/machines/limits'
import { UNITS } from '../../../domain/numbers/quantities'
import { sheets } from '../../../domain/words/sheets'
import { figureText } from '../../features/sheets/sheetText'
import { lengthUnit } from '../../features/sheets/unitOptions'
import { format } from '../../shopFormat'
import type { FieldErrors } from '../../useForm'
import { faultWords } from './faultWords'

const t = sheets.limit
const FIGURES = ['nominal', 'tolerance', 'low', 'high'] as const

/** What is typed of a limit. */
export type LimitTyped = Pick<
  Limit,
  'what' | 'unit' | 'nominal' | 'tolerance' | 'low' | 'high' | 'condition' | 'manual' | 'page' | 'critical'
>

export function typedOf(row: Limit | null): LimitTyped {
  const figure = (name: (typeof FIGURES)[number]) => figureText(row?.[name] ?? '')
  return {
    what: row?.what ?? '',
    unit: row?.unit ?? lengthUnit(),
    nominal: figure('nominal'),
    tolerance: figure('tolerance'),
    low: figure('low'),
    high: figure('high'),
    condition: row?.condition ?? '',
    manual: row?.manual ?? '',
    page: row?.page ?? '',
    critical: row?.critical ?? false,
  }
}

/** A figure as the command takes it; null where it is not a number. */
function readFigure(typed: string): string | null {
  if (!typed.trim()) return ''
  const read = format.value.readNumber(typed.replace('−', '-'))
  return read !== null && isAmount(read) ? read : null
}

/** The limit as the command takes it; null while a figure is not a number. */
export function readLimit(typed: LimitTyped) {
  const figures = FIGURES.map((name) => [name, readFigure(typed[name])] as const)
  const quantity = UNITS.get(typed.unit)?.quantity
  if (!quantity || figures.some(([, figure]) => figure === null)) return null
  const exact = Object.fromEntries(figures) as Record<(typeof FIGURES)[number], string>
  return { ...typed, ...exact, quantity }
}

export function checkLimit(typed: LimitTyped): FieldErrors {
  const wrong = FIGURES.filter((name) => readFigure(typed[name]) === null)
  const wanted = readLimit(typed)
  return {
    ...(wanted && faultWords(faultsOfLimit(wanted))),
    ...Object.fromEntries(wrong.map((name) => [name, t.wrongFigure])),
    what: !typed.what.trim() && t.missingWhat,
  }
}
