import { expectedBehavior, type InterlockRow, ROWS } from '../domain/bench/interlockRows'
import { type PublishedFigure, publishedFigure } from '../domain/bench/publishedFigures'
import {
  chooseTestList,
  defaultTests,
  latestResults,
  listedTests,
  type MachineClass,
  machineClass,
  type PlannedTest,
  plannedTests,
  type ReleaseSummary,
  summarizeTests,
  testKey,
  withRows,
} from '../domain/bench/runTests'
import { limitOfTest } from '../domain/bench/testLimits'
import type { Commands, Job, RunTest, RunTestKind } from '../domain/contract'
import { matchSheets } from '../domain/machines/sheetMatching'
import { moment } from '../domain/time'
import { checkLists } from './checks'
import { complaintsOf } from './jobs'
import { machine } from './machines'
import { sendAdd } from './queue/commands'
import { allOf, byAge, ownedBy } from './rows/selectors'

export const runTestsOf = (job_id: string): RunTest[] => ownedBy('run_test', 'job_id', job_id)

/** The class of a job's machine, which decides its tests and its interlock table. */
export const classOf = ({ machine_id }: Job): MachineClass => machineClass(machine(machine_id)?.kind ?? '')

/** The shop's own list of tests for a job's machine; undefined where the shop has none. */
export const testListOf = ({ machine_id }: Job) =>
  chooseTestList(checkLists(), machine(machine_id)?.kind ?? '')

/** The tests of a job: the shop's list or that of its class of machine, and what its complaints ask for. */
export function testsOf(job: Job): PlannedTest[] {
  const complaints = complaintsOf(job.id).map(({ words, happens_when }) => `${words}\n${happens_when}`)
  const own = testListOf(job)?.items.map(({ words }) => words)
  return plannedTests(own ? listedTests(own) : defaultTests(classOf(job)), complaints)
}

/** What was tested on a job and what was not, each row of the interlock table by itself. */
export const testSummaryOf = (job: Job): ReleaseSummary<RunTest> =>
  summarizeTests(withRows(testsOf(job), ROWS[classOf(job)]), runTestsOf(job.id))

/** The result that counts of one test; undefined while there is none. */
export function resultOf(job_id: string, test: PlannedTest): RunTest | undefined {
  return latestResults(runTestsOf(job_id)).get(testKey(test))
}

/** What a test of a job has to show: the limit on a sheet about its machine, else a published figure. */
export function figureOfTest(job: Job, kind: RunTestKind): PublishedFigure | null {
  const row = machine(job.machine_id)
  const sheets = row ? matchSheets(row, allOf('sheet')).filter(({ fit }) => fit === 'own') : []
  const limits = sheets.flatMap(({ sheet }) => ownedBy('limit', 'sheet_id', sheet.id).sort(byAge))
  return limitOfTest(kind, limits) ?? publishedFigure(kind, classOf(job))
}

/** The circuit of a job's machine, if the owner entered one; the last of several. */
export const circuitOf = ({ machine_id }: Job) =>
  ownedBy('circuit', 'machine_id', machine_id).sort(byAge).at(-1)

/** What a row of the interlock table has to show on a job's machine. */
export const expectedOf = (job: Job, row: InterlockRow) => expectedBehavior(row, circuitOf(job)?.wiring)

/** The results of the interlock table's rows for a job's machine, undefined where there is none. */
export const interlocksOf = (job: Job) =>
  ROWS[classOf(job)].map((item) => resultOf(job.id, { kind: 'interlock', item }))

/** Whether a test has a result, the interlock test one for each of its rows. */
export function isTested(job: Job, test: PlannedTest): boolean {
  const rows = test.kind === 'interlock' ? interlocksOf(job) : []
  return rows.length ? rows.every((result) => result) : resultOf(job.id, test) !== undefined
}

/** How many tests of a job's list are done, and how many there are. */
export function testsDone(job: Job): [done: number, all: number] {
  const tests = testsOf(job)
  return [tests.filter((test) => isTested(job, test)).length, tests.length]
}

export const recordRunTest = (fields: Omit<Commands['record_run_test'], 'id' | 'tested_at'>) =>
  sendAdd('record_run_test', { ...fields, tested_at: moment(Date.now()) })
