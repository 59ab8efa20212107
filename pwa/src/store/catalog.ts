import type { CatalogPart } from '../domain/contract'
import { type Changes, type NewRowFields, sendAdd, sendEdit } from './queue/commands'
import { allOf, byId, compare } from './rows/selectors'

export const catalogPart = (id: string) => byId('catalog_part', id)

/** A part number without the marks and blanks that one writer sets and another does not. Twin: `number_key`. */
export const numberKey = (number: string): string => number.toUpperCase().replace(/[^\p{L}\p{N}]/gu, '')

const textOf = ({ number, description, bin, superseded_by }: CatalogPart) =>
  [number, numberKey(number), description, bin, superseded_by].join(' ').toLowerCase()

/** The parts that are offered to choose from, by number; with words only those that have all of them. */
export function allParts(words = ''): CatalogPart[] {
  const wanted = words.toLowerCase().split(/\s+/u).filter(Boolean)
  return allOf('catalog_part')
    .filter((part) => !part.archived && wanted.every((word) => textOf(part).includes(word)))
    .sort(
      (a, b) => compare(a.number, b.number) || compare(a.description, b.description) || compare(a.id, b.id),
    )
}

/** The parts of the catalog with the number of one that a job needs, or that it was replaced by. */
export function partsLike({
  number,
  superseded_by,
}: Pick<CatalogPart, 'number' | 'superseded_by'>): CatalogPart[] {
  const keys = new Set([number, superseded_by].map(numberKey).filter(Boolean))
  return allParts().filter(
    (part) => keys.has(numberKey(part.number)) || keys.has(numberKey(part.superseded_by)),
  )
}

export const addCatalogPart = (fields: NewRowFields<'add_catalog_part'>) =>
  sendAdd('add_catalog_part', fields)
export const editCatalogPart = (seen: CatalogPart, wanted: Changes<'edit_catalog_part'>) =>
  sendEdit('edit_catalog_part', seen, wanted)
