/** Check lists and checks of a job: which check counts, which list fits, what comes next. */
import type { Check, CheckItem, CheckList, FindingRank, ItemResult } from '../contract.ts'

/** The results in the order in which they are offered. */
export const RESULTS: readonly ItemResult[] = ['fine', 'worn', 'bad', 'not_looked']

/** An item with the check of it that counts. */
export interface CheckedItem {
  item: CheckItem
  check: Check | undefined
}

/** The latest check of each item, by the item's id; of two at the same time the one recorded last. */
export function latestChecks(checks: readonly Check[]): ReadonlyMap<string, Check> {
  const latest = new Map<string, Check>()
  for (const check of checks) {
    const before = latest.get(check.item_id)
    if (!before || isLater(check, before)) latest.set(check.item_id, check)
  }
  return latest
}

function isLater(a: Check, b: Check): boolean {
  const between = Date.parse(a.checked_at) - Date.parse(b.checked_at)
  return between === 0 ? a.id > b.id : between > 0
}

/** The items of a list, each with its latest check. */
export function checkedItems(list: Pick<CheckList, 'items'>, checks: readonly Check[]): CheckedItem[] {
  const latest = latestChecks(checks)
  return list.items.map((item) => ({ item, check: latest.get(item.id) }))
}

/** The first item without a check after this one, else from the start; undefined once each has one. */
export function nextItem(items: readonly CheckedItem[], after?: string): CheckItem | undefined {
  const at = items.findIndex(({ item }) => item.id === after)
  const inOrder = [...items.slice(at + 1), ...items.slice(0, at + 1)]
  return inOrder.find(({ item, check }) => !check && item.id !== after)?.item
}

const plain = (text: string) => text.trim().toLowerCase()

/** Whether a list is for this kind of machine: for all, for just it, or for a wider kind that its name holds. */
export function fitsMachine({ machine_kind }: Pick<CheckList, 'machine_kind'>, kind: string): boolean {
  return plain(kind).includes(plain(machine_kind))
}

/** The list to open on a job: the one used last on it, else the first for just its kind of machine, else any that fits. */
export function listFor(
  lists: readonly CheckList[],
  checks: readonly Check[],
  kind: string,
): CheckList | undefined {
  const last = checks.reduce<Check | undefined>(
    (latest, check) => (!latest || isLater(check, latest) ? check : latest),
    undefined,
  )
  const used = last && lists.find(({ items }) => items.some(({ id }) => id === last.item_id))
  const fitting = lists.filter((list) => fitsMachine(list, kind))
  return used ?? fitting.find(({ machine_kind }) => machine_kind.trim()) ?? fitting[0]
}

/** The finding that a check becomes: its words, and how much it matters. */
export function findingOfCheck({ item_words, words, result, critical }: Check): {
  words: string
  rank: FindingRank
} {
  const rank = result !== 'bad' ? 'advised' : critical ? 'safety' : 'needed'
  return { words: [item_words, words.trim()].filter(Boolean).join(': '), rank }
}
