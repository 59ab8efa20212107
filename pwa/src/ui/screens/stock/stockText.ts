import type { CatalogPart } from '../../../domain/contract'
import type { DecimalText } from '../../../domain/numbers/decimal'
import { stock as t } from '../../../domain/words/stock'
import { places, stockPlace } from '../../../store/stock'
import { format } from '../../shopFormat'

/** "HV-1204 Deck belt". */
export const partName = ({ number, description }: Pick<CatalogPart, 'number' | 'description'>): string =>
  [number, description].filter(Boolean).join(' ')

export const figure = (amount: DecimalText): string => format.value.number(amount)

/** What was typed as a plain number: empty where nothing was, null where it cannot be read or is below zero. */
export function typedFigure(text: string): DecimalText | '' | null {
  if (!text.trim()) return ''
  const read = format.value.readNumber(text)
  return read === null || read.startsWith('-') ? null : read
}

export const isAboveZero = (text: string): boolean => {
  const read = typedFigure(text)
  return read !== null && read !== '' && Number(read) > 0
}

/** The figure that was typed; '0' where there is none. */
export const figureOf = (text: string): DecimalText => typedFigure(text) || '0'

export const placeName = (id: string | null): string => (id && stockPlace(id)?.name) || ''

/** The places in use, to choose from. */
export const placeOptions = (): (readonly [string, string])[] => places().map(({ id, name }) => [id, name])

export const missingPlace = (id: string) => !id && t.missingPlace

/** The member's own truck, or the first place there is. */
export const firstPlace = (): string => places()[0]?.id ?? ''
