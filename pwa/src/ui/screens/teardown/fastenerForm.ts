import { torquePlausible } from '../../../domain/bench/calculators/threads'
import type { Commands, Fastener, TorqueUnit } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { format } from '../../shopFormat'

export const UNITS = (Object.keys(t.units) as TorqueUnit[]).map((unit) => [unit, t.units[unit]] as const)

export const FLAGS = [
  { value: 'hidden', label: t.hidden, hint: t.hiddenHint },
  { value: 'one_use', label: t.oneUse, hint: t.oneUseHint },
  { value: 'torque_critical', label: t.critical, hint: t.criticalHint },
] as const
type Flag = (typeof FLAGS)[number]['value']

/** A fastener as it is typed. */
export interface FastenerForm {
  thread: string
  length: string
  grade: string
  head: string
  place: string
  count: string
  flags: Flag[]
  thread_locker: string
  torque: string
  torque_unit: TorqueUnit
}

export const blankFastener = (row?: Fastener): FastenerForm => ({
  thread: row?.thread ?? '',
  length: row?.length ?? '',
  grade: row?.grade ?? '',
  head: row?.head ?? '',
  place: row?.place ?? '',
  count: row?.count.toString() ?? '1',
  flags: FLAGS.flatMap(({ value }) => (row?.[value] ? [value] : [])),
  thread_locker: row?.thread_locker ?? '',
  torque: row?.torque ? format.value.number(row.torque) : '',
  torque_unit: row?.torque_unit ?? '',
})

/** A torque as typed, as a plain decimal; null where it is none above 0 with three decimal places at most. */
export function readTorque(typed: string): string | null {
  const found = format.value.readNumber(typed)
  return found !== null &&
    Number(found) > 0 &&
    Number(found) < 100_000 &&
    /^[0-9]+(\.[0-9]{1,3})?$/.test(found)
    ? found
    : null
}

/** What to check about a torque that can hardly belong to its fastener; empty where it can, or nothing can be said. */
export function torqueDoubt(row: Pick<Fastener, 'thread' | 'grade'>, typed: string, unit: string): string {
  const torque = readTorque(typed)
  const verdict = torque === null ? null : torquePlausible(row.thread, row.grade, torque, unit)
  return verdict === 'too_low' ? t.tooLow : verdict === 'too_high' ? t.tooHigh : ''
}

export const isCount = (typed: string): boolean => /^[1-9][0-9]{0,2}$/.test(typed.trim())

export const fastenerFaults = ({ thread, count, torque, torque_unit }: FastenerForm) => ({
  thread: !thread.trim() && t.missingThread,
  count: !isCount(count) && t.badCount,
  torque: torque.trim() !== '' && readTorque(torque) === null && t.badTorque,
  torque_unit: torque.trim() !== '' && !torque_unit && t.noUnit,
})

export function fastenerFields(
  form: FastenerForm,
): Required<Omit<Commands['record_fastener'], 'id' | 'step_id'>> {
  const text = (name: 'thread' | 'length' | 'grade' | 'head' | 'place' | 'thread_locker') => form[name].trim()
  const torque = form.torque.trim() ? readTorque(form.torque) : null
  return {
    thread: text('thread'),
    length: text('length'),
    grade: text('grade'),
    head: text('head'),
    place: text('place'),
    count: Number(form.count),
    hidden: form.flags.includes('hidden'),
    one_use: form.flags.includes('one_use'),
    torque_critical: form.flags.includes('torque_critical'),
    thread_locker: text('thread_locker'),
    torque,
    torque_unit: torque === null ? '' : form.torque_unit,
  }
}
