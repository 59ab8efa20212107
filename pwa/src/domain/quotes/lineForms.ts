/** The form of quote lines and discounts, checked before anything is calculated from them. */

import { LINE_KINDS, LONGEST_FOUND, RANKS } from '../contract.ts'
import {
  decimal,
  key,
  omissible,
  oneOf,
  optional,
  record,
  type ShapeCheck,
  text,
  uuid,
  whole,
  words,
  yesOrNo,
} from '../validation/shape.ts'
import { distance, percent, price } from './book.ts'
import type { WrittenDiscount, WrittenLine } from './lines.ts'

const fields = (quantity: ShapeCheck) => ({
  id: uuid,
  position: whole(0, 100_000, 'position_out_of_range'),
  kind: oneOf(...LINE_KINDS),
  rank: oneOf(...RANKS),
  words: words(2000),
  included: omissible(text(2000)),
  found: omissible(text(LONGEST_FOUND)),
  work: optional(key),
  operation: optional(words(60)),
  part_number: optional(words(60)),
  hours: optional(decimal(0, 1000, 'hours_out_of_range')),
  rate_key: optional(key),
  member_id: optional(uuid),
  quantity: optional(quantity),
  unit_cost_minor: optional(price),
  unit_price_minor: optional(price),
  core_minor: optional(price),
  distance: optional(distance),
  zone_key: optional(key),
  fixed_minor: optional(price),
  discount_percent: optional(percent),
  discount_minor: optional(price),
  later_minor: optional(price),
  taxed: optional(yesOrNo),
  belongs_to_id: optional(uuid),
  apart: optional(yesOrNo),
  agreed: optional(yesOrNo),
})

/** The form of a line, field by field; `checkLines` also looks across fields. */
export const lineForm = record<WrittenLine>(fields(decimal(0, 10_000, 'quantity_out_of_range')))

/** That of a line of an invoice, on which a quantity below zero takes something back. */
export const billedLineForm = record<WrittenLine>(
  fields(decimal(-10_000, 10_000, 'billed_quantity_out_of_range')),
)

export const discountForm = record<WrittenDiscount>({ percent: optional(percent), minor: optional(price) })
