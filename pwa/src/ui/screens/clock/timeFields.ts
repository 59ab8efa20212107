import type { EntryKind, TimeEntry } from '../../../domain/contract'
import type { WorkDetails } from '../../../domain/labor/clock'
import { anomalyOf, isRunning, msOfWallTime, wallTimeAt, workFaults } from '../../../domain/labor/clock'
import { GIVEN_ENDS_FIRST } from '../../../domain/messages/fields'
import { type Moment, moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { overlapping, plainWork, workOf } from '../../../store/timeEntries'
import { isOwn, spanText, workText } from '../../features/clock/timeEntryText'
import { zone } from '../../shopFormat'
import type { FieldErrors } from '../../useForm'

const t = en.clock

export interface TimeFormFields {
  kind: EntryKind
  job: string
  startDay: string
  startTime: string
  endDay: string
  endTime: string
  reason: string
}

export function toTimeFormFields(row: TimeEntry | null, now: number): TimeFormFields {
  const runs = row !== null && isRunning(row)
  const ended = row && (row.ended_at ?? row.device_ended_at)
  const start = wallTimeAt(zone.value, row ? Date.parse(row.started_at) : now - 3_600_000)
  const end = wallTimeAt(zone.value, ended ? Date.parse(ended) : now)
  return {
    kind: row?.kind ?? 'repair',
    job: row?.job_id ?? '',
    startDay: start.day,
    startTime: start.time,
    endDay: runs ? start.day : end.day,
    endTime: runs ? '' : end.time,
    reason: runs ? t.forgot : '',
  }
}

/** Start and end; null where no time was typed. Unchanged times keep their seconds. */
export function spanOf(fields: TimeFormFields, row: TimeEntry | null) {
  const read = (day: string, time: string, was: Moment | null | undefined) => {
    const shown = was && wallTimeAt(zone.value, Date.parse(was))
    if (was && shown && shown.day === day && shown.time === time) return was
    const ms = msOfWallTime(zone.value, { day, time })
    return ms === null ? null : moment(ms)
  }
  return {
    started_at: read(fields.startDay, fields.startTime, row?.started_at),
    ended_at: read(fields.endDay, fields.endTime, row?.ended_at),
  }
}

/** Rework stays rework; other work keeps its details while kind and job are unchanged. */
export function workTyped({ kind, job }: TimeFormFields, row: TimeEntry | null): WorkDetails {
  const isSame = row?.job_id === (job || null) && row.kind === kind
  return row && (row.kind === 'rework' || isSame) ? workOf(row) : plainWork(kind, job || null)
}

export function validateTimeFields(
  fields: TimeFormFields,
  row: TimeEntry | null,
  whose: string,
): FieldErrors {
  const { started_at, ended_at } = spanOf(fields, row)
  const work = workTyped(fields, row)
  return {
    startTime: started_at === null && t.missingTime,
    endTime: ended_at === null && t.missingTime,
    job:
      workFaults(work).some(({ field }) => field === 'job_id') &&
      (work.kind === 'shop' ? t.noJob : t.missingJob),
    reason: !fields.reason.trim() && t.missingReason,
    ...(started_at !== null && ended_at !== null && spanError(row, whose, started_at, ended_at)),
  }
}

function spanError(
  row: TimeEntry | null,
  member_id: string,
  started_at: Moment,
  ended_at: Moment,
): Partial<Record<keyof TimeFormFields, string>> {
  const anomaly = anomalyOf(started_at, ended_at, Date.now())
  if (anomaly === 'ends_first') return { endTime: GIVEN_ENDS_FIRST }
  if (anomaly === 'in_future') return { endTime: t.inFuture }
  if (anomaly === 'too_long') return { endTime: t.tooLong }
  const wanted = { id: row?.id ?? '', member_id, started_at, ended_at, anomaly: '' } as const
  const settled = row ? overlapping(row).map(({ id }) => id) : []
  const taken = overlapping(wanted, settled)[0]
  if (!taken) return {}
  const what = en.app.joined([workText(taken), spanText(taken)])
  return { startTime: isOwn(member_id) ? t.taken(what) : t.takenTheirs(what) }
}
