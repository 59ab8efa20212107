import type { CatalogPart } from '../../../domain/contract'
import { stock as t } from '../../../domain/words/stock'
import { levelAt } from '../../../store/stock'
import { figure, figureOf, isAboveZero, placeName } from './stockText'

/** How many are at the place, and a warning where more are taken: it is saved all the same. */
export function ThereNow({ part, place, taken }: { part: CatalogPart; place: string; taken: string }) {
  if (!place) return null
  const level = levelAt(part.id, place)
  const tooMany = isAboveZero(taken) && Number(figureOf(taken)) > Number(level)
  return (
    <p class="hint" role="status">
      {t.thereNow(figure(level), placeName(place))}
      {tooMany && `. ${t.moreThanThere}`}
    </p>
  )
}
