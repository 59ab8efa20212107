import type { PublishedFigure } from '../../../domain/bench/publishedFigures'
import { QUANTITIES, runTestFaults } from '../../../domain/bench/runTests'
import type { Job, RunTestKind, RunTestOutcome } from '../../../domain/contract'
import { testing } from '../../../domain/words/testing'
import { recordRunTest } from '../../../store/runTests'
import { typedFormat } from '../../shopFormat'
import { isOutside, rangeText } from './figures'

const t = testing.form

/** What is typed in the form of a test. */
export interface Typed {
  name: string
  value: string
  cycles: string
  outcome: RunTestOutcome | null
  words: string
}

/** The row that a form makes, with what is wrong with it by field. */
export function readTest(kind: RunTestKind, unit: string, typed: Typed) {
  const value = typed.value.trim() ? typedFormat.value.readNumber(typed.value) : null
  const cycles = typed.cycles.trim() ? Number(typedFormat.value.readNumber(typed.cycles) ?? Number.NaN) : null
  const made = {
    value,
    unit: value === null ? '' : unit,
    tries: Number.isInteger(cycles) ? cycles : null,
    good: null,
  }
  const faults: { readonly [field in 'value' | 'tries']?: string } = Object.fromEntries(
    runTestFaults({ kind, ...made }).map(([field, fault]) => [field, t.faults[fault]]),
  )
  const isUnread = (text: string, read: unknown) => text.trim() !== '' && read === null
  const needed = QUANTITIES[kind] !== undefined && typed.outcome === 'passed' && !typed.value.trim()
  return {
    made,
    faults: {
      value: isUnread(typed.value, value) ? t.notNumber : needed ? t.noValue : faults.value,
      cycles: isUnread(typed.cycles, made.tries) ? t.notNumber : faults.tries,
      outcome: !typed.outcome && t.noOutcome,
      name: kind === 'other' && !typed.name.trim() && t.noName,
    },
  }
}

/** The machine's own limit decides until somebody says otherwise; a published figure decides nothing. */
export function decideTest(
  kind: RunTestKind,
  unit: string,
  figure: PublishedFigure | null,
  typed: Typed,
): Typed {
  const { value } = readTest(kind, unit, typed).made
  if (typed.outcome || !figure?.own || value === null) return typed
  return { ...typed, outcome: isOutside(value, unit, figure) ? 'failed' : 'passed' }
}

/** What a form is about: the test, its unit, and what it has to show. */
interface Subject {
  kind: RunTestKind
  item: string
  unit: string
  figure: PublishedFigure | null
}

/** Records what was typed; null while nobody said how the test went. */
export function saveTest({ id }: Job, { kind, item, unit, figure }: Subject, typed: Typed) {
  const { outcome } = decideTest(kind, unit, figure, typed)
  if (!outcome) return null
  return recordRunTest({
    job_id: id,
    kind,
    item: kind === 'other' ? typed.name.trim() : item,
    outcome,
    expected: figure ? rangeText(figure) : '',
    ...readTest(kind, unit, typed).made,
    words: typed.words.trim(),
  })
}
