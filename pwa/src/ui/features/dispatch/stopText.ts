import type { Machine, Run, Site, STOP_SPANS, Stop, Supplier, Units } from '../../../domain/contract'
import type { NumberStyle } from '../../../domain/dispatch/rigFields'
import { placeLines } from '../../../domain/geo/places'
import { msOfWallTime } from '../../../domain/labor/clock'
import { farWords, weightIn } from '../../../domain/numbers/units'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { customer, site } from '../../../store/customers'
import { legToStop, rig } from '../../../store/dispatch'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { shop } from '../../../store/shop'
import { supplier } from '../../../store/suppliers'
import { format, today, zone } from '../../shopFormat'

/** The job, customer, machine and site of a stop, or its supplier, as far as they are on this phone. */
export function aboutStop(row: Stop) {
  const of = row.job_id ? job(row.job_id) : undefined
  const customerRow = of && customer(of.customer_id)
  const what: Machine | undefined = of && machine(of.machine_id)
  const where: Site | undefined = row.site_id ? site(row.site_id) : undefined
  const from: Supplier | undefined = row.supplier_id ? supplier(row.supplier_id) : undefined
  return {
    job: of,
    customer: customerRow,
    machine: what,
    site: where,
    supplier: from,
    name: customerRow?.name || from?.name || en.app.noName,
  }
}

/** Name and address of the destination, or of the rig that broke down; empty where it is not on this phone. */
export function placeText(row: Stop): string {
  if (row.from_rig_id !== null)
    return [en.dispatch.onDeckOf(rigName(row.from_rig_id)), row.place].join('\n').trim()
  const from = aboutStop(row).supplier
  if (from) return [row.place, from.address].filter(Boolean).join('\n')
  const where = row.site_id ? site(row.site_id) : undefined
  return row.place || (where ? placeLines(where.label, where.address).join('\n') : '')
}

export const rigName = (id: string | null) => (id && rig(id)?.name) || en.dispatch.road.noRig

const spanText = (name: keyof typeof STOP_SPANS, from: string | null, to: string | null): string => {
  const { time } = format.value
  return from && to ? en.dispatch.span(name, time(from), time(to)) : ''
}

type Times = Pick<Stop, 'arrives_at' | 'arrives_from' | 'arrives_to' | 'leaves_at'>

/** "Planned stay: 9:20 AM to 10:05 AM": arrival and departure by the plan; empty where there is none. */
export const stayText = ({ arrives_at, leaves_at }: Pick<Times, 'arrives_at' | 'leaves_at'>): string =>
  spanText('stay', arrives_at, leaves_at)

/** The interval promised to the customer, which plans respect, as text. */
export const promisedText = ({ notified_from, notified_to }: Stop): string =>
  spanText('promised', notified_from, notified_to)

/** "Planned arrival: 9:05 AM to 9:35 AM": between when somebody will be there; empty where nothing is planned. */
export const arrivalText = ({ arrives_at, arrives_from, arrives_to }: Omit<Times, 'leaves_at'>): string =>
  spanText('arrival', arrives_from ?? arrives_at, arrives_to ?? arrives_at)

/** "25 min drive, mostly 20 to 33": the leg to this stop, by the shop's recorded drives. */
export function driveText(row: Stop): string {
  const leg = legToStop(row)
  if (!leg) return ''
  const minutes = (seconds: number) => String(Math.round(seconds / 60))
  return en.dispatch.drive(minutes(leg.seconds), minutes(leg.low_seconds), minutes(leg.high_seconds))
}

export function windowTexts(row: Stop): string[] {
  const { moment, time } = format.value
  return row.windows.map(({ opens, closes }) => en.dispatch.between(moment(opens), time(closes)))
}

/** "Fetch · Planned arrival: 9:05 AM to 9:35 AM". */
export const stopLine = (row: Stop): string => en.app.joined([en.dispatch.kinds[row.kind], arrivalText(row)])

export const units = (): Units => shop.value?.units ?? 'us'

/** Units and number format of the shop, for weights and lengths. */
export const measureFormat = (): NumberStyle => ({
  units: units(),
  readNumber: format.value.readNumber,
  mark: format.value.number('1.5').charAt(1),
})

export function weightText(kg: number): string {
  const sign = units() === 'us' ? en.dispatch.road.weight : en.dispatch.road.kilo
  return `${format.value.number(String(weightIn(kg, units())))} ${sign}`
}

/** "41.2 mi, 1 h 22 min driving". */
export function runText({ metres, drive_seconds }: Run): string {
  const { number } = format.value
  const unit = units() === 'us' ? en.dispatch.road.mile : en.dispatch.road.kilometre
  const minutes = Math.round((drive_seconds ?? 0) / 60)
  return en.dispatch.road.figures(number(farWords(metres ?? 0, units())), unit, minutes)
}

/** A time of day such as "07:00" in the shop's format. */
export function clockText(time: string): string {
  const ms = msOfWallTime(zone.value, { day: today(), time })
  return ms === null ? time : format.value.time(moment(ms))
}
