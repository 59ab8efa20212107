import type { Need, Priority, Stop } from '../../../domain/contract'
import { faultsOfStop } from '../../../domain/dispatch/stopFaults'
import { msOfWallTime, wallTimeAt } from '../../../domain/labor/clock'
import { WINDOW_ENDS_FIRST } from '../../../domain/messages/fields'
import { moment } from '../../../domain/time'
import type { Fault } from '../../../domain/validation/fieldFaults'
import { en } from '../../../domain/words/index'
import type { Place } from '../../../store/customers'
import { NO_PLACE, type PlaceFormFields } from '../../features/dispatch/PlacePicker'
import type { SizeFormFields } from '../../features/machines/SizeFields'
import { zone } from '../../shopFormat'
import type { FieldErrors } from '../../useForm'

const t = en.dispatch.ask

/** A stop as text in the form. */
export interface StopFormFields {
  site: string
  /** A place that is no site yet. */
  where: Omit<PlaceFormFields, 'siteId'>
  windows: TimeWindowFormFields[]
  wait: string
  /** Weight and length of the machine, where nobody has noted them. */
  size: SizeFormFields
  earliest: string
  promised: string
  needs: Need[]
  minutes: string
  priority: Priority
  daylight: boolean
  urgent: boolean
  notes: string
}

export interface TimeWindowFormFields {
  day: string
  from: string
  to: string
}

export const NO_WINDOW: TimeWindowFormFields = { day: '', from: '', to: '' }

export function toStopFormFields(
  seen: Stop | null,
  site: string,
  promised: string,
  priority: Priority = 'usual',
): StopFormFields {
  const windows = (seen?.windows ?? []).map(({ opens, closes }) => {
    const from = wallTimeAt(zone.value, Date.parse(opens))
    return { day: from.day, from: from.time, to: wallTimeAt(zone.value, Date.parse(closes)).time }
  })
  return {
    site: seen?.site_id ?? site,
    where: NO_PLACE,
    size: {},
    windows: windows.length > 0 ? windows : [NO_WINDOW],
    wait: seen?.wait_until ?? '',
    earliest: seen?.earliest_on ?? '',
    promised: seen ? (seen.promised_on ?? '') : promised,
    needs: [...(seen?.needs ?? [])],
    minutes: seen?.service_minutes?.toString() ?? '',
    priority: seen?.priority ?? priority,
    daylight: seen?.by_daylight ?? false,
    urgent: false,
    notes: seen?.notes ?? '',
  }
}

/** Start and end; null for an incomplete window. */
function windowOf({ day, from, to }: TimeWindowFormFields) {
  const opens = msOfWallTime(zone.value, { day, time: from })
  const closes = msOfWallTime(zone.value, { day, time: to })
  return opens === null || closes === null ? null : { opens: moment(opens), closes: moment(closes) }
}

/** The stop as the command takes it. An incomplete window is left out; `validateStop` reports it. */
export function toStopFields(typed: StopFormFields) {
  const minutes = typed.minutes.trim()
  return {
    windows: typed.windows.flatMap((each) => windowOf(each) ?? []),
    service_minutes: minutes ? (/^\d{1,3}$/u.test(minutes) ? Number(minutes) : Number.NaN) : null,
    needs: typed.needs,
    priority: typed.priority,
    earliest_on: typed.earliest || null,
    promised_on: typed.promised || null,
    wait_until: typed.wait || null,
    by_daylight: typed.daylight,
    notes: typed.notes.trim(),
  }
}

/** Errors by field: incomplete windows, and what the server would refuse. */
export function validateStop(typed: StopFormFields, place: Place | null | undefined): FieldErrors {
  const whole = typed.windows.flatMap((each, at) => (windowOf(each) ? [at] : []))
  const half = typed.windows.flatMap((each, at) =>
    (each.day || each.from || each.to) && !windowOf(each) ? [[`window${at}`, t.windowHalf]] : [],
  )
  // The present place of the machine is not part of this form.
  const refused = faultsOfStop({ lat: null, lon: null, place: '', ...toStopFields(typed) })
  return {
    site: place === null ? en.dispatch.place.wrong : !place && t.missingPlace,
    ...Object.fromEntries(half),
    ...Object.fromEntries(refused.map((fault) => faultInForm(fault, whole))),
  }
}

/** The form field and error text of a fault of the row. `whole`: the indexes of the windows that the row has. */
function faultInForm({ field }: Fault, whole: readonly number[]): [string, string] {
  const window = /^windows\.(\d+)\./.exec(field)
  if (window) return [`window${whole[Number(window[1])]}`, WINDOW_ENDS_FIRST]
  if (field === 'wait_until') return ['wait', t.waitEndsFirst]
  return field === 'service_minutes' ? ['minutes', t.badMinutes] : [field, en.app.tooLong]
}
