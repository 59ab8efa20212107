import { EXAMPLE_LISTS } from '../../../domain/bench/exampleLists'
import { type PlannedTest, QUANTITIES, TEST_PURPOSE, testKey } from '../../../domain/bench/runTests'
import type { Job, RunTestOutcome } from '../../../domain/contract'
import { testing as t } from '../../../domain/words/testing'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import {
  interlocksOf,
  isTested,
  recordRunTest,
  resultOf,
  testListOf,
  testsDone,
  testsOf,
} from '../../../store/runTests'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Cautions } from '../../features/cautions/Cautions'
import { TestSummary } from '../../features/testing/TestSummary'
import { figureOf, testName } from '../../features/testing/testText'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import type { Route } from '../../router'
import { ShopPage } from '../../ShopPage'
import { saveWithToast } from '../../toast'

/** Tests that any job may have besides those of its list. */
const OTHERS = ['bleed_cycles', 'heat_soak', 'starts', 'interlock', 'brake_hold', 'charge_voltage'] as const

/** The tests of a job before it is released: each in one or two taps, a summary at the end. */
export function Tests({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const tests = testsOf(row)
  const open = tests.find((test) => !isTested(row, test))
  const others = OTHERS.filter((kind) => !tests.some((test) => test.kind === kind))
  return (
    <ShopPage
      overline={machineName(machine(row.machine_id))}
      title={t.title}
      back={{ at: 'job-bench', id }}
      dock={
        open ? (
          <PrimaryButton label={testName(open)} hint={t.next} to={screenOf(id, open)} />
        ) : (
          <PrimaryButton label={t.toStage} hint={t.allDone} to={{ at: 'job-stage', id }} />
        )
      }
    >
      <Cautions job={id} codes={['running_engine']} />
      <Section title={t.onList} end={t.of(...testsDone(row))} hint={t.hint}>
        <ul class="list">
          {tests.map((test) => (
            <li key={testKey(test)}>
              <TestItem job={row} test={test} />
            </li>
          ))}
        </ul>
      </Section>
      <Section title={t.more}>
        <ButtonRow>
          {others.map((kind) => (
            <Button key={kind} label={t.kinds[kind]} to={screenOf(id, { kind, item: '' })} />
          ))}
          <Button label={t.kinds.other} to={screenOf(id, { kind: 'other', item: '' })} />
        </ButtonRow>
      </Section>
      <TestSummary job={row} />
      <ButtonRow>
        <Button label={t.editList} hint={t.editListHint} to={listScreen(row)} />
      </ButtonRow>
    </ShopPage>
  )
}

/** Where the shop changes its list of tests, or makes one of the example. */
function listScreen(row: Job): Route {
  const own = testListOf(row)
  if (own) return { at: 'check-list', id: own.id }
  const example = EXAMPLE_LISTS.findIndex(({ purpose }) => purpose === TEST_PURPOSE) + 1
  return { at: 'new-check-list', example: String(example) }
}

/** The screen of a test. */
function screenOf(id: string, { kind, item }: PlannedTest): Route {
  if (kind === 'interlock') return { at: 'job-interlocks', id }
  if (kind === 'starts') return { at: 'job-starts', id }
  return { at: 'job-test', id, kind, item }
}

/** One test: what was seen in one tap, or the way to its screen where something is measured or counted. */
function TestItem({ job: row, test }: { job: Job; test: PlannedTest }) {
  const result = resultOf(row.id, test)
  const rows = test.kind === 'interlock' ? interlocksOf(row) : []
  const asExpected = rows.filter((each) => each?.outcome === 'passed').length
  const value = rows.some((each) => each)
    ? t.asExpected(asExpected, rows.length)
    : result && [figureOf(result), t.outcomes[result.outcome]].filter(Boolean).join(', ')
  const details = result?.words || t.how[test.kind]
  const isTap = !QUANTITIES[test.kind] && !['interlock', 'starts', 'bleed_cycles'].includes(test.kind)
  if (!isTap)
    return <ListItem title={testName(test)} details={details} value={value} to={screenOf(row.id, test)} />
  const say = (outcome: RunTestOutcome) => () =>
    result?.outcome !== outcome &&
    void saveWithToast(() => recordRunTest({ job_id: row.id, ...test, outcome }))
  return (
    <>
      <ListItem title={testName(test)} details={details} value={value} to={screenOf(row.id, test)} />
      <ButtonRow>
        <Button label={t.passed} pressed={result?.outcome === 'passed'} onPress={say('passed')} />
        <Button label={t.failed} pressed={result?.outcome === 'failed'} onPress={say('failed')} />
      </ButtonRow>
    </>
  )
}
