import type { Fastener, RemovalStep } from '../../../domain/contract'
import type { Kept } from '../../../domain/machines/sheetToKeep'
import { sheets as t } from '../../../domain/words/sheets'
import { findingsOf } from '../../../store/findings'
import { fastenersOf, putBackRulesOf, removalStep, removalStepsOf } from '../../../store/teardown'
import { timeOf } from '../../../store/timeEntries'
import { format } from '../../shopFormat'
import { minutesOf } from '../clock/timeEntryText'
import { figureText } from './sheetText'

/** Something of a job that can be kept for the next machine of its kind. */
export interface Keepable {
  readonly id: string
  readonly label: string
  readonly hint: string
  readonly kept: Kept
}

/** Work with its clocked hours, findings as lessons, and what goes back before what. */
export const keepableOf = (jobId: string): Keepable[] => [
  ...clockedWork(jobId),
  ...findingsOf(jobId).map(({ id, words }) => ({
    id,
    label: words,
    hint: t.entry.kinds.lesson,
    kept: { entry: { kind: 'lesson', words } } as const,
  })),
  ...ordersOf(jobId),
]

/** Named work of a job that is no longer on the clock, with its hours in hundredths. */
function clockedWork(jobId: string): Keepable[] {
  const minutes = new Map<string, number>()
  for (const entry of timeOf(jobId))
    if (entry.operation && entry.ended_at !== null)
      minutes.set(entry.operation, (minutes.get(entry.operation) ?? 0) + minutesOf(entry, 0))
  return [...minutes].flatMap(([words, spent]) => {
    const hours = (spent / 60).toFixed(2)
    if (Number(hours) === 0) return []
    const hint = t.entry.hoursOf(format.value.number(hours))
    return [{ id: words, label: words, hint, kept: { entry: { kind: 'operation', words, hours } } as const }]
  })
}

const nameOf = (step: RemovalStep | undefined): string =>
  [step?.what, step?.place].filter(Boolean).join(', ').slice(0, 120)

function ordersOf(jobId: string): Keepable[] {
  return putBackRulesOf(jobId).flatMap(({ id, before_id, after_id, reason }) => {
    const [first, second] = [nameOf(removalStep(before_id)), nameOf(removalStep(after_id))]
    if (!first || !second || first.toLowerCase() === second.toLowerCase()) return []
    const entry = { kind: 'order', first, second, words: reason } as const
    return [{ id, label: t.entry.before(first, second), hint: t.entries.order, kept: { entry } }]
  })
}

/** The fasteners of a job's removal steps; those without a name of their place are left out. */
export const keepableFasteners = (jobId: string): Keepable[] =>
  removalStepsOf(jobId).flatMap((step) =>
    fastenersOf(step.id).flatMap((row) => {
      const words = [row.place, nameOf(step)].filter(Boolean).join(', ')
      return words ? [{ id: row.id, label: words, hint: sizeOf(row), kept: keptFastener(row, words) }] : []
    }),
  )

const sizeOf = ({ count, thread, length, torque, torque_unit }: Fastener): string =>
  [t.entry.times(count, thread), length, torque && `${figureText(torque)} ${torque_unit}`]
    .filter(Boolean)
    .join(' · ')

function keptFastener(row: Fastener, words: string): Kept {
  const { thread, grade, length, head, count, torque, torque_unit, one_use, thread_locker } = row
  const tightened = torque ? { torque, torque_unit } : {}
  const size = { thread: [thread, grade].filter(Boolean).join(' ').slice(0, 120), length, head, count }
  return { entry: { kind: 'fastener', words, ...size, one_use, thread_locker, ...tightened } }
}
