/**
 * How long a supplier takes, and when all parts of a job will be there.
 *
 * Twins: `shopapi/parts/rules/lead_times.py` and `promise.py`, which explain the method; both run
 * `fixtures/parts/promises.json`.
 */

const ROUNDING = 1e-9

/** How many business days an order line took to arrive; not arrived: how many it has waited so far. */
export interface PartWait {
  days: number
  arrived: boolean
}

/** The share that still waits from each day on which something arrived. */
export interface LeadTime {
  steps: readonly { days: number; share: number }[]
  arrivals: number
}

/** The Kaplan-Meier estimate from these waits. */
export function leadTimeOf(waits: readonly PartWait[]): LeadTime {
  const ends = [...new Set(waits.map(({ days }) => days))].sort((a, b) => a - b)
  const steps: { days: number; share: number }[] = []
  let [waiting, share] = [waits.length, 1]
  for (const end of ends) {
    const ended = waits.filter(({ days }) => days === end)
    const arrived = ended.filter((wait) => wait.arrived).length
    if (arrived) {
      share *= 1 - arrived / waiting
      steps.push({ days: end, share })
    }
    waiting -= ended.length
  }
  return { steps, arrivals: waits.filter(({ arrived }) => arrived).length }
}

/** In how many days at least this share has arrived; null if the estimate never reaches it. */
export const daysFor = ({ steps }: LeadTime, share: number): number | null =>
  steps.find((step) => 1 - step.share >= share - 1e-9)?.days ?? null

/** While there is no history, everything arrives after the supplier's usual days. */
export const usualLeadTime = (days: number): LeadTime => ({ steps: [{ days, share: 0 }], arrivals: 0 })

/** The share of lines that take longer than so many days. */
export const waitingShare = ({ steps }: LeadTime, days: number): number =>
  steps.filter((step) => step.days <= days).at(-1)?.share ?? 1

/** A part that has not arrived: see `Expected` of the server's twin. */
export interface ExpectedPart {
  supplier: string | null
  leadTime: LeadTime
  waited: number
  notBefore: number
}

function chanceOfOne({ leadTime, waited, notBefore }: ExpectedPart, days: number): number | null {
  if (days < notBefore) return 0
  const still = waitingShare(leadTime, waited - 1)
  return still <= ROUNDING ? null : 1 - waitingShare(leadTime, waited + days) / still
}

/** The chance that all parts are there in so many business days; null if one of them says nothing. */
export function chanceOfAll(parts: readonly ExpectedPart[], days: number): number | null {
  const bySupplier = new Map<string | null, number>()
  for (const part of parts) {
    const chance = chanceOfOne(part, days)
    if (chance === null) return null
    bySupplier.set(part.supplier, Math.min(chance, bySupplier.get(part.supplier) ?? 1))
  }
  return [...bySupplier.values()].reduce((product, chance) => product * chance, 1)
}

const FARTHEST = 400

/** In how many business days all parts are there with at least this chance; null if that cannot be said. */
export function daysForAll(parts: readonly ExpectedPart[], share: number): number | null {
  for (let days = 0; days <= FARTHEST; days += 1) {
    const chance = chanceOfAll(parts, days)
    if (chance === null) return null
    if (chance >= share - ROUNDING) return days
  }
  return null
}
