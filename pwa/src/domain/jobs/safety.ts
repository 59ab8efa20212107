import type {
  DeviceCondition,
  DisclosedItem,
  Finding,
  ResumedWork,
  SafetyAcknowledgement,
  SafetyItem,
  Stage,
  TrialRow,
} from '../contract.ts'
import type { Moment } from '../time.ts'

/** Whether a move says that the work is done. From returned back to ready only corrects a return. */
export const finishes = (from: Stage, to: Stage): boolean => from === 'testing' && to === 'ready'

/** When a job was worked on again after it was ready, after a move. Twin: `resumed_work_after` of the server's jobs. */
export function resumedWorkAfter(
  spans: readonly ResumedWork[],
  [from, to]: readonly [Stage, Stage],
  at: Moment,
): readonly ResumedWork[] {
  const last = spans.at(-1)
  if (from === 'ready' && to !== 'returned') return [...spans, { from_at: at, ready_at: null }]
  return finishes(from, to) && last?.ready_at === null
    ? [...spans.slice(0, -1), { ...last, ready_at: at }]
    : spans
}

/** Why a finding keeps its job from being ready. */
export type OpenSafety = 'undecided' | 'unacknowledged' | 'unrepaired' | 'no_bypass'

/** What counts of a safety item. */
export type CountedItem = Pick<SafetyItem, 'id' | 'device' | 'condition' | 'protection_lost' | 'repaired'>

/** What a customer was told once: the text of the finding and its safety items. */
export type Disclosure = Pick<SafetyAcknowledgement, 'finding_words'> &
  Partial<Pick<SafetyAcknowledgement, 'items'>>

/** The text of the finding of a safety item. Twin: `shopapi/jobs/rules/safety.py`. */
export function itemWords(device: string, condition: DeviceCondition): string {
  const [first = '', ...rest] = device.replaceAll('_', ' ')
  return `${first.toUpperCase()}${rest.join('')}: ${condition.replaceAll('_', ' ')}`
}
/** Whether a move says that the machine is back together. From ready back to testing only takes a step back. */
export const startsTesting = (from: Stage, to: Stage): boolean => to === 'testing' && from !== 'ready'

/**
 * Whether the latest trial found the device working; of two at one instant, the one that did not counts. The order in
 * which phones send their trials decides nothing. Twin: `shopapi/jobs/rules/safety.py`.
 */
export function isRepaired(trials: readonly Pick<TrialRow, 'works' | 'tried_at'>[]): boolean {
  const last = Math.max(...trials.map(({ tried_at }) => Date.parse(tried_at)))
  const latest = trials.filter(({ tried_at }) => Date.parse(tried_at) === last)
  return latest.length > 0 && latest.every(({ works }) => works)
}

/** A safety item as a customer is told of it now. */
export const disclosedItem = ({ id, device, condition, protection_lost }: CountedItem): DisclosedItem => ({
  item_id: id,
  device,
  condition,
  protection_lost,
})

/**
 * Why a finding keeps its job from being ready, or null where it does not. A finding with safety items counts by them,
 * whatever its rank. `noBypass`: the shop hands nothing back with a bypassed or missing device.
 * Twin: `shopapi/jobs/rules/safety.py`; both run `fixtures/jobs/safety.json` and `safety_items.json`.
 */
export function openSafety(
  { rank, decided, words }: Pick<Finding, 'rank' | 'decided' | 'words'>,
  told: readonly Disclosure[],
  items: readonly CountedItem[] = [],
  noBypass = false,
): OpenSafety | null {
  const left = items.filter(({ repaired }) => !repaired)
  if (items.length) {
    if (!left.length) return null
    if (noBypass && left.some(({ condition }) => condition !== 'not_working')) return 'no_bypass'
    if (decided === 'accepted') return 'unrepaired'
  } else if (rank !== 'safety' || decided === 'accepted') return null
  if (decided === 'open') return 'undecided'
  const heard = told.filter(({ finding_words }) => finding_words === words)
  const known = left
    .map(disclosedItem)
    .every((item) => heard.some(({ items = [] }) => items.some(isSame(item))))
  return heard.length && known ? null : 'unacknowledged'
}

const isSame =
  (item: DisclosedItem) =>
  (other: DisclosedItem): boolean =>
    item.item_id === other.item_id &&
    item.device === other.device &&
    item.condition === other.condition &&
    item.protection_lost === other.protection_lost
