import {
  LEAD_TIMES,
  type PartNeed,
  type PartOrder,
  type PartOrderLine,
  STARTING_CALENDAR,
} from '../domain/contract'
import { addBusinessDays, businessDaysBetween, type IsOpen, openDaysOf } from '../domain/parts/businessDays'
import {
  chanceOfAll,
  daysForAll,
  type ExpectedPart,
  type LeadTime,
  leadTimeOf,
  type PartWait,
  usualLeadTime,
} from '../domain/parts/leadTimes'
import { inDays } from '../domain/parts/needBy'
import { isWaitedFor } from '../domain/parts/needs'
import { isOpen as isLineOpen } from '../domain/parts/orders'
import { type Day, dayIn } from '../domain/time'
import { job } from './jobs'
import { hoursAfterParts } from './needBy'
import { arrivalsOfLine, linesOfOrder, statusOfLine } from './partOrders'
import { allOf, byId, compare, ownedBy } from './rows/selectors'
import { shop } from './shop'

/** When a job's parts are there, and the day that can be promised. */
export interface JobPromise {
  /** The parts that are still waited for. */
  needs: PartNeed[]
  /** The day to promise with the shop's chance; null if nothing can be said of one of the parts. */
  day: Day | null
  /** By when the parts must be there for the day promised, and the chance that they are. */
  needBy: Day | null
  chance: number | null
  /** The chance that the shop asks for, in percent, and the hours of accepted work after the parts. */
  percent: number
  hours: number
}

/** Twin: `risk_matters` and `supplies_of` of the server. Null for a job that waits for no part. */
export function promiseOf(job_id: string, today: Day): JobPromise | null {
  const needs = ownedBy('part_need', 'job_id', job_id).filter(({ state }) => isWaitedFor(state))
  if (!needs.length) return null
  const calendar = shop.value?.calendar ?? STARTING_CALENDAR
  const isOpen = openDaysOf(calendar, shop.value?.holidays ?? [])
  const parts = needs.map((need) => expectedPart(need, today, isOpen))
  const known = parts.filter((part) => part !== null)
  const days = known.length === parts.length ? daysForAll(known, calendar.promise_percent / 100) : null
  const hours = Math.max(...hoursAfterParts(job_id).values())
  const work = inDays(hours)
  const promised = job(job_id)?.promised_on ?? null
  const needBy = promised === null ? null : addBusinessDays(promised, -work, isOpen)
  return {
    needs,
    day: days === null ? null : addBusinessDays(today, days + work, isOpen),
    needBy,
    chance: needBy === null || known.length < parts.length ? null : chanceBy(known, today, needBy, isOpen),
    percent: calendar.promise_percent,
    hours,
  }
}

function chanceBy(parts: readonly ExpectedPart[], today: Day, needBy: Day, isOpen: IsOpen): number | null {
  const chance = chanceOfAll(parts, businessDaysBetween(today, needBy, isOpen))
  return chance !== null && needBy < today ? 0 : chance
}

function expectedPart(need: PartNeed, today: Day, isOpen: IsOpen): ExpectedPart | null {
  const underWay = ownedBy('part_order_line', 'need_id', need.id)
    .map((line) => ({ line, order: byId('part_order', line.order_id) }))
    .find(({ line, order }) => order && isUnderWay(order) && isLineOpen(statusOfLine(line)))
  const supplier = underWay?.order?.supplier_id ?? need.supplier_id
  const leadTime = supplier && leadTimeOfSupplier(supplier, today, isOpen)
  if (!leadTime || need.state === 'no_longer_made') return null
  const sentOn = underWay?.order && sentDay(underWay.order)
  if (!underWay || !sentOn) return { supplier, leadTime, waited: 0, notBefore: 0 }
  const promised = underWay.line.promised_on ?? underWay.order?.promised_on
  return {
    supplier,
    leadTime,
    waited: businessDaysBetween(sentOn, today, isOpen),
    notBefore: promised ? businessDaysBetween(today, promised, isOpen) : 0,
  }
}

const isUnderWay = ({ state }: PartOrder) => state === 'sent' || state === 'confirmed'

const dayOfMoment = (at: string): Day => dayIn(shop.value?.zone ?? 'UTC', Date.parse(at))

const sentDay = ({ sent_at }: PartOrder): Day | null => (sent_at ? dayOfMoment(sent_at) : null)

/** What is known of a supplier's orders: the estimate of the shop's own, however few, and the usual days entered. */
export function ownLeadTime(
  supplier_id: string,
  today: Day,
): { known: LeadTime; waits: number; isEnough: boolean } {
  const calendar = shop.value?.calendar ?? STARTING_CALENDAR
  const waits = waitsOf(supplier_id, today, openDaysOf(calendar, shop.value?.holidays ?? []))
  const known = leadTimeOf(waits)
  return { known, waits: waits.length, isEnough: known.arrivals >= LEAD_TIMES.enough_arrivals }
}

/** The estimate of a supplier; with too few arrivals its usual days, if the shop entered them. */
export function leadTimeOfSupplier(supplier_id: string, today: Day, isOpen: IsOpen): LeadTime | null {
  const known = leadTimeOf(waitsOf(supplier_id, today, isOpen))
  if (known.arrivals >= LEAD_TIMES.enough_arrivals) return known
  const usual = byId('supplier', supplier_id)?.lead_days ?? null
  return usual === null ? null : usualLeadTime(usual)
}

const waitsOf = (supplier_id: string, today: Day, isOpen: IsOpen): PartWait[] =>
  allOf('part_order')
    .filter((order) => order.supplier_id === supplier_id && order.state !== 'cancelled' && order.sent_at)
    .sort((a, b) => compare(b.sent_at ?? '', a.sent_at ?? ''))
    .flatMap((order) => linesOfOrder(order.id).flatMap((line) => waitOf(order, line, today, isOpen) ?? []))
    .slice(0, LEAD_TIMES.most_waits)

function waitOf(order: PartOrder, line: PartOrderLine, today: Day, isOpen: IsOpen): PartWait | null {
  const sentOn = sentDay(order)
  const open = isLineOpen(statusOfLine(line))
  const good = arrivalsOfLine(line.id).filter(({ condition }) => condition === 'good')
  const last = good
    .map(({ arrived_at }) => arrived_at)
    .sort(compare)
    .at(-1)
  if (!sentOn || (!open && last === undefined)) return null
  const until = open || last === undefined ? today : dayOfMoment(last)
  return { days: businessDaysBetween(sentOn, until, isOpen), arrived: !open }
}
