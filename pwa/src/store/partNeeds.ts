import type { CatalogPart, Command, Commands, PartNeed, QuoteLine } from '../domain/contract'
import { asNeeded, partOfLine } from '../domain/parts/accepted'
import { isWaitedFor } from '../domain/parts/needs'
import { partPrice } from '../domain/quotes/prices'
import { moment } from '../domain/time'
import { newId } from './browser/clock'
import type { PendingUpload } from './database/shopDatabase'
import { attachCommands } from './pictures/attachments'
import { enqueueWithPictures } from './pictures/enqueueWithPictures'
import { priceBook } from './priceBook'
import { type Changes, type NewRowFields, sendAdd, sendEdit, sendRemove } from './queue/commands'
import { enqueue, enqueueAll } from './queue/outbox'
import { quote, quoteLine } from './quotes'
import { allOf, byAge, byId, ownedBy } from './rows/selectors'

export const partNeed = (id: string) => byId('part_need', id)
/** The parts that a job needs, oldest first. */
export const partNeedsOf = (job_id: string) => ownedBy('part_need', 'job_id', job_id).sort(byAge)
export const needOfLine = (line_id: string) => ownedBy('part_need', 'line_id', line_id).sort(byAge)[0]
export const searchesOf = (need_id: string) => ownedBy('part_search', 'need_id', need_id).sort(byAge)
export const catalogPart = (id: string) => byId('catalog_part', id)

/** How many parts of a job have not come yet, and are fitted, of how many that it needs. */
export function countNeeds(job_id: string): { open: number; all: number; fitted: number } {
  const wanted = partNeedsOf(job_id).filter(({ state }) => state !== 'cancelled' && state !== 'sent_back')
  return {
    open: wanted.filter(({ state }) => isWaitedFor(state)).length,
    all: wanted.length,
    fitted: wanted.filter(({ state }) => state === 'fitted').length,
  }
}

/** The part of the catalog with a number. */
export const partNumbered = (number: string): CatalogPart | undefined =>
  number
    ? allOf('catalog_part')
        .filter((row) => row.number === number)
        .sort((a, b) => Number(a.archived) - Number(b.archived) || byAge(a, b))[0]
    : undefined

/**
 * Adds a part that a job needs, with the pictures of its form, in one transaction. A number that the catalog does not
 * have is added to it.
 */
export async function addPartNeed(
  fields: NewRowFields<'add_part_need'>,
  kept: readonly PendingUpload[] = [],
): Promise<string> {
  const id = newId()
  const { number = '', description, supplier_id = null, superseded_by = '' } = fields
  const commands: Command[] = []
  let catalog_part_id = fields.catalog_part_id ?? partNumbered(number)?.id ?? null
  if (number && catalog_part_id === null) {
    catalog_part_id = newId()
    const { cost_minor = null, price_minor = null, core_minor = 0 } = fields
    const known = { number, description, supplier_id, superseded_by, cost_minor, price_minor, core_minor }
    commands.push({ name: 'add_catalog_part', args: { id: catalog_part_id, ...known } })
  }
  commands.push({ name: 'add_part_need', args: { id, ...fields, catalog_part_id } })
  await enqueueWithPictures([...commands, ...attachCommands(kept, 'part_need', id)], kept)
  return id
}

/** Adds the part of a quote line before the customer has answered; their answer then finds it by the line. */
export async function needLine(job_id: string, line: QuoteLine): Promise<void> {
  const basis = quote(line.quote_id)?.basis
  const agreed = line.decided === 'accepted' && basis ? partPrice(basis, line) : null
  const { cost_minor, ...shown } = asNeeded(partOfLine(line, agreed))
  // Who does not see costs leaves it out.
  const cost = cost_minor === null ? {} : { cost_minor }
  await enqueue('add_part_need', { id: line.id, job_id, ...shown, ...cost })
}

export const editPartNeed = (seen: PartNeed, wanted: Changes<'edit_part_need'>) =>
  sendEdit('edit_part_need', seen, wanted)
export const movePartNeed = (id: string, state: PartNeed['state']) => enqueue('move_part_need', { id, state })
export const fitPart = (id: string) => enqueue('fit_part', { id, fitted_at: moment(Date.now()) })
export const fitParts = (ids: readonly string[]) => {
  const fitted_at = moment(Date.now())
  return enqueueAll(ids.map((id) => ({ name: 'fit_part', args: { id, fitted_at } })))
}
export const removePartNeed = (id: string) => sendRemove('remove_part_need', id)
export const recordPartSearch = (fields: Omit<Commands['record_part_search'], 'id' | 'asked_at'>) =>
  sendAdd('record_part_search', { ...fields, asked_at: moment(Date.now()) })

/** The price of one as it is now, by its line's prices or the shop's; null where nobody can tell here. */
export function priceNow(need: PartNeed): number | null {
  const line = need.line_id === null ? undefined : quoteLine(need.line_id)
  const prices = (line && quote(line.quote_id)?.basis) ?? priceBook.value?.prices
  const { price_minor: unit_price_minor, cost_minor: unit_cost_minor } = need
  if (!prices) return unit_price_minor
  return partPrice(prices, { unit_price_minor, unit_cost_minor })
}

/** By how much one is above the price that the customer agreed to; 0: it is not, or nobody can tell. */
export function aboveAgreed(need: PartNeed): number {
  const now = priceNow(need)
  return need.agreed_minor === null || now === null ? 0 : Math.max(0, now - need.agreed_minor)
}

/**
 * Whether the price is above the agreed one by a cost that this member does not see. A price that was entered since counts
 * instead.
 */
export const isAboveUnseen = (need: PartNeed): boolean =>
  need.above_agreed && need.cost_minor === null && need.price_minor === null
