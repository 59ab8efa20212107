import type { PlannedTest, ReleaseSummary } from '../../../domain/bench/runTests'
import { highestRate, missedShare } from '../../../domain/bench/startBounds'
import type { RunTest } from '../../../domain/contract'
import { unitSymbol } from '../../../domain/numbers/quantities'
import { testing as t } from '../../../domain/words/testing'
import { format } from '../../shopFormat'

/** The name of a test; the shop's own has its own. */
export const testName = ({ kind, item }: PlannedTest): string => (kind === 'other' && item) || t.kinds[kind]

/** What was measured or counted in a test: "14.2 V", "12 of 12 good". */
export function figureOf({ kind, value, unit, tries, good }: RunTest): string {
  if (value !== null) return `${format.value.number(value)} ${unitSymbol(unit)}`
  if (tries === null) return ''
  return kind === 'starts' ? t.good(good ?? 0, tries) : t.times(tries)
}

/** "7 %": whole from 1 to 99, else with what makes it differ from none and all. */
export function share(rate: number): string {
  const percent = rate * 100
  const places = percent > 1 && percent < 99 ? 0 : 1
  return format.value.percent(percent.toFixed(places))
}

/** Faults in one of so many starts, for which a count says how often it would have missed them. */
const ONE_IN = 5

/** What a count of starts says, in whole sentences. */
export function startsSay(good: number, bad: number): string[] {
  const tries = good + bad
  if (!tries) return []
  if (bad) return [t.starts.badRate(share(highestRate(tries, bad)))]
  return [
    t.starts.missed(ONE_IN, share(missedShare(1 / ONE_IN, tries))),
    t.starts.below(share(highestRate(tries, 0))),
  ]
}

/** What was tested and what not, as lists of names with their figures. */
export function summaryText({ passed, failed, not_done, left_out }: ReleaseSummary<RunTest>) {
  const named = (result: RunTest) => [testName(result), figureOf(result)].filter(Boolean).join(' ')
  const isRow = ({ kind, item }: PlannedTest) => kind === 'interlock' && item !== ''
  const rows = passed.filter(isRow).length
  const failedRows = failed.filter(isRow)
  const left = not_done.filter(isRow).length
  const why = (test: PlannedTest) =>
    left_out.find(({ kind, item }) => kind === test.kind && item === test.item)?.words
  return {
    tested: [
      ...passed.filter((each) => !isRow(each)).map(named),
      ...(rows ? [t.summary.interlocks(rows, rows + failedRows.length + left)] : []),
    ],
    failed: [
      ...failed.filter((each) => !isRow(each)).map(named),
      ...failedRows.map(({ item, seen }) =>
        [
          t.interlock.rows[item as keyof typeof t.interlock.rows],
          t.interlock.behaviors[seen as 'stops'],
        ].join(': '),
      ),
    ],
    notTested: [
      ...not_done
        .filter((each) => !isRow(each))
        .map((test) => [testName(test), why(test)].filter(Boolean).join(': ')),
      ...(left ? [t.summary.interlocksLeft(left)] : []),
    ],
  }
}
