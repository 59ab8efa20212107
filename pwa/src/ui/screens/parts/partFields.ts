import type { PartNeed } from '../../../domain/contract'
import { parts as t } from '../../../domain/words/parts'
import { badAmount } from '../../badAmount'
import { format } from '../../shopFormat'

/** What is typed in the form of a part. */
export interface PartFields {
  description: string
  number: string
  quantity: string
  supersededBy: string
  supplierId: string
  catalogId: string
  cost: string
  price: string
  core: string
  bookPage: string
  note: string
  /** The description for which a known part was taken last: no more are offered for it. */
  taken: string
}

const BLANK: PartFields = {
  description: '',
  number: '',
  quantity: '1',
  supersededBy: '',
  supplierId: '',
  catalogId: '',
  cost: '',
  price: '',
  core: '',
  bookPage: '',
  note: '',
  taken: '',
}

type Copied = Pick<
  PartNeed,
  'description' | 'number' | 'superseded_by' | 'supplier_id' | 'cost_minor' | 'price_minor' | 'core_minor'
>

/** What a part that is known already fills in. */
export function copiedFields(row: Copied) {
  const { typedMoney } = format.value
  return {
    description: row.description,
    number: row.superseded_by || row.number,
    supersededBy: '',
    supplierId: row.supplier_id ?? '',
    cost: typedMoney(row.cost_minor),
    price: typedMoney(row.price_minor),
    core: row.core_minor ? typedMoney(row.core_minor) : '',
  }
}

export function fieldsOfNeed(seen: PartNeed): PartFields {
  return {
    ...BLANK,
    ...copiedFields(seen),
    number: seen.number,
    supersededBy: seen.superseded_by,
    quantity: format.value.number(seen.quantity),
    catalogId: seen.catalog_part_id ?? '',
    bookPage: seen.book_page,
    note: seen.note,
    taken: seen.description,
  }
}

export const blankFields = (words = '', quantity = '1'): PartFields => ({
  ...BLANK,
  description: words,
  quantity: format.value.number(/^\d{1,4}(\.\d{1,6})?$/u.test(quantity) ? quantity : '1'),
  taken: words,
})

const moneyOf = (typed: string): number | null => (typed.trim() ? format.value.readMoney(typed) : null)
const isMoney = (typed: string): boolean => !typed.trim() || (moneyOf(typed) ?? -1) >= 0

export function checkPart(fields: PartFields) {
  const quantity = format.value.readNumber(fields.quantity)
  const { number, supersededBy } = fields
  return {
    description: !fields.description.trim() && t.missing,
    quantity: !(Number(quantity) > 0) && t.missingQuantity,
    supersededBy: supersededBy.trim() !== '' && supersededBy.trim() === number.trim() && t.sameNumber,
    cost: !isMoney(fields.cost) && badAmount(),
    price: !isMoney(fields.price) && badAmount(),
    core: !isMoney(fields.core) && badAmount(),
  }
}

/** The row as typed; without the cost where the member does not see costs. */
export function toPartNeed(fields: PartFields, maySeeCost: boolean) {
  return {
    description: fields.description.trim(),
    number: fields.number.trim(),
    quantity: format.value.readNumber(fields.quantity) ?? '1',
    superseded_by: fields.supersededBy.trim(),
    supplier_id: fields.supplierId || null,
    catalog_part_id: fields.catalogId || null,
    ...(maySeeCost && { cost_minor: moneyOf(fields.cost) }),
    price_minor: moneyOf(fields.price),
    core_minor: moneyOf(fields.core) ?? 0,
    book_page: fields.bookPage.trim(),
    note: fields.note.trim(),
  }
}
