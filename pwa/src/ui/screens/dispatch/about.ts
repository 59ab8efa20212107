import { instantOf } from '../../../domain/clock'
import { farWords, typedWeight, type Units } from '../../../domain/measures'
import type { Machine, Run, Site, Stop } from '../../../domain/rows'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { customer, site } from '../../../store/customers'
import { legTo, rig } from '../../../store/dispatch'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { shop } from '../../../store/shop'
import { figures, today, zone } from '../../shopFigures'

/** Who and what a stop is about, as far as this phone knows. */
export function aboutStop(row: Stop) {
  const of = job(row.job_id)
  const owner = of && customer(of.customer_id)
  const what: Machine | undefined = of && machine(of.machine_id)
  const where: Site | undefined = site(row.site_id)
  return { job: of, owner, machine: what, site: where, name: owner?.name || en.app.noName }
}

/** The place to go to, by name and address; where a rig broke down, that. Empty where it is not on this phone. */
export function placeWords(row: Stop): string {
  if (row.from_rig_id !== null)
    return [en.dispatch.onDeckOf(rigName(row.from_rig_id)), row.place].join('\n').trim()
  const where = site(row.site_id)
  return [row.place || where?.label, row.place ? '' : where?.address].filter(Boolean).join('\n')
}

export const rigName = (id: string | null) => (id && rig(id)?.name) || en.dispatch.run.noRig

/** "Planned 9:40 AM to 10:05 AM": when the plan has somebody there and gone again; empty where nobody knows. */
export function plannedWords(row: Stop): string {
  const { time } = figures.value
  if (!row.arrives_at) return ''
  if (!row.leaves_at) return en.dispatch.plannedAt(time(row.arrives_at))
  return en.dispatch.plannedFor(time(row.arrives_at), time(row.leaves_at))
}

/** "Told: 9:15 AM to 10:15 AM": the promise that plans keep. */
export function toldWords(row: Stop): string {
  const { time } = figures.value
  return row.told_from && row.told_to ? en.dispatch.run.told(time(row.told_from), time(row.told_to)) : ''
}

/** "25 min drive, mostly 20 to 33": to this stop, as far as the shop's own drives tell. */
export function driveWords(row: Stop): string {
  const leg = legTo(row)
  if (!leg) return ''
  const minutes = (seconds: number) => String(Math.round(seconds / 60))
  return en.dispatch.drive(minutes(leg.seconds), minutes(leg.low_seconds), minutes(leg.high_seconds))
}

/** "9:05 AM to 9:35 AM": when somebody will be there, or was told to be; empty where nobody knows. */
export function expectedWords(row: Stop): string {
  const { time } = figures.value
  if (row.arrives_from && row.arrives_to)
    return en.dispatch.between(time(row.arrives_from), time(row.arrives_to))
  return row.arrives_at ? time(row.arrives_at) : ''
}

export function windowWords(row: Stop): string[] {
  const { moment, time } = figures.value
  return row.windows.map(({ opens, closes }) => en.dispatch.between(moment(opens), time(closes)))
}

/** "Fetch · planned 9:40 AM to 10:05 AM". */
export function stopLine(row: Stop): string {
  return en.app.joined([en.dispatch.kinds[row.kind], plannedWords(row) || expectedWords(row)])
}

export const units = (): Units => shop.value?.units ?? 'us'

export function weightWords(kg: number): string {
  const sign = units() === 'us' ? en.dispatch.run.weight : en.dispatch.run.kilo
  return `${figures.value.number(typedWeight(kg, units()))} ${sign}`
}

/** "41.2 mi, 1 h 22 min driving". */
export function runFigures({ metres, drive_seconds }: Run): string {
  const { number } = figures.value
  const unit = units() === 'us' ? en.dispatch.run.mile : en.dispatch.run.kilometre
  const minutes = Math.round((drive_seconds ?? 0) / 60)
  return en.dispatch.run.figures(number(farWords(metres ?? 0, units())), unit, minutes)
}

/** "07:00" as this shop writes times of the day. */
export function clockWords(time: string): string {
  const ms = instantOf(zone.value, { day: today(), time })
  return ms === null ? time : figures.value.time(moment(ms))
}
