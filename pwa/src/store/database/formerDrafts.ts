import { RENAMED_BY_0_3, withNewNames } from '../queue/formerCommands'
import type { DraftRecord } from './shopDatabase'

/** Fields that builds up to 0.3.0 stored under other names, by the first part of the draft's name. */
const RENAMED_FIELDS: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  'new-job': { owner: 'customerName' },
  hand: { owner: 'customerStep' },
  // The prices were a field of the shop.
  prices: { book: 'prices' },
  messages: { ask_owner: 'ask_customer' },
  shop: { paper: 'paper_size' },
}

/** A draft as a build up to 0.3.0 stored it, under the names of this build; the same object where nothing changed. */
export function currentDraft(draft: DraftRecord): DraftRecord {
  const [form = '', key] = draft.name.split(':')
  if (form === 'wording' && key === 'owner_asked') {
    const [name, path] = [draft.name, draft.path].map((text) => text.replace('owner_asked', 'customer_asked'))
    return {
      ...draft,
      name: name as string,
      path: path as string,
      fields: withNewNames(draft.fields, RENAMED_BY_0_3),
    }
  }
  const names = RENAMED_FIELDS[form]
  return names
    ? { ...draft, fields: renamed(names, draft.fields) as object, seen: renamed(names, draft.seen) }
    : draft
}

function renamed(names: Readonly<Record<string, string>>, value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value
  return Object.fromEntries(
    Object.entries(value).map(([field, inside]) => [names[field] ?? field, renamed(names, inside)]),
  )
}
