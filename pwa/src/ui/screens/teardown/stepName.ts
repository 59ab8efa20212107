import { showSize } from '../../../domain/bench/fastenerSize'
import type { Fastener, RemovalStep } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { removalStep, removalStepsOf } from '../../../store/teardown'
import { format } from '../../shopFormat'

/** What a step is called: what came off, else where, else its number. */
export const stepName = ({ what, place }: RemovalStep, number: number): string =>
  what || place || t.step(number)

/** As `stepName`, of a step by its id. */
export function nameOfStep(id: string): string {
  const step = removalStep(id)
  return step ? stepName(step, removalStepsOf(step.job_id).findIndex((each) => each.id === id) + 1) : ''
}

/** What one fastener is called with the place it belongs to: "M8 × 25, top right, blower housing". */
export const placeName = (row: Fastener): string =>
  [row.place, nameOfStep(row.step_id)].filter(Boolean).join(', ')

/** The size of a fastener with its grade and head. */
export const sizeName = (row: Fastener): string =>
  [showSize(row), row.grade && t.gradeOf(row.grade), row.head].filter(Boolean).join(', ')

/** A torque with its unit; empty where there is none. */
export const torqueText = ({ torque, torque_unit }: Pick<Fastener, 'torque' | 'torque_unit'>): string =>
  torque === null ? '' : `${format.value.number(torque)} ${t.units[torque_unit]}`
