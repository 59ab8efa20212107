import { latestChecks } from '../../../domain/bench/checks'
import type { Job } from '../../../domain/contract'
import { benchCalculators, bench as t } from '../../../domain/words/bench'
import { checks, stateOfChecks } from '../../../domain/words/checks'
import { jobParts } from '../../../domain/words/history'
import { measure } from '../../../domain/words/readings'
import { safetyItems } from '../../../domain/words/safetyItems'
import { sheetsMenu } from '../../../domain/words/sheetsMenu'
import { checksOf } from '../../../store/checks'
import { circuitsOf, observationsOf } from '../../../store/circuits'
import { findingsOf } from '../../../store/findings'
import { countNeeds } from '../../../store/partNeeds'
import { readingsOf } from '../../../store/readings'
import { testsDone } from '../../../store/runTests'
import { removalStepsOf } from '../../../store/teardown'
import { itemState, itemsOfJob } from '../../features/safety/itemText'
import type { Route } from '../../router'

/** One row of the bench: where it leads, and how far that part of the work is. */
interface BenchRow {
  label: string
  to: (job: Job) => Route
  /** A count or a state in a few words; empty while there is nothing. */
  state?: (job: Job) => string
}

/**
 * What is done on the machine of a job, in the order of the work. To add a part of the bench, add one entry here: its
 * label and its state's words from `domain/words/bench.ts`, the address of its first screen from `routes.ts`, a state
 * that reads rows of the store. Everything on the bench is then two presses from the job.
 */
export const BENCH_ROWS: readonly BenchRow[] = [
  { label: sheetsMenu.title, to: ({ id }) => ({ at: 'job-known', id }) },
  {
    label: checks.title,
    to: ({ id }) => ({ at: 'job-checks', id }),
    state: ({ id }) => stateOfChecks([...latestChecks(checksOf(id)).values()]),
  },
  {
    label: t.circuit,
    to: ({ id }) => ({ at: 'job-circuit', id }),
    state: ({ id, machine_id }) =>
      t.circuitState(circuitsOf(machine_id).flatMap((each) => observationsOf(id, each.id)).length),
  },
  {
    label: measure.row,
    to: ({ id }) => ({ at: 'job-reading', id }),
    state: ({ id }) => {
      const found = readingsOf(id)
      return measure.state(found.length, found.filter(({ verdict }) => verdict === 'outside').length)
    },
  },
  {
    label: t.takeApart,
    to: ({ id }) => ({ at: 'job-teardown', id }),
    state: ({ id }) => t.steps(removalStepsOf(id).length),
  },
  {
    label: t.putBack,
    to: ({ id }) => ({ at: 'job-put-back', id }),
    state: ({ id }) => t.stepsLeft(removalStepsOf(id).filter(({ back_at }) => back_at === null).length),
  },
  {
    label: t.finding,
    to: ({ id }) => ({ at: 'job-finding', id }),
    state: ({ id }) => t.findings(findingsOf(id).length),
  },
  {
    label: jobParts.title,
    to: ({ id }) => ({ at: 'job-parts', id }),
    state: ({ id }) => jobParts.summary(countNeeds(id)),
  },
  {
    label: safetyItems.add,
    to: ({ id }) => ({ at: 'job-safety-item', id }),
    state: ({ id }) => {
      const items = itemsOfJob(id)
      return safetyItems.count(items.filter((item) => itemState(item) === 'open').length, items.length)
    },
  },
  {
    label: t.tests,
    to: ({ id }) => ({ at: 'job-tests', id }),
    state: (job) => t.testsDone(...testsDone(job)),
  },
  { label: benchCalculators.title, to: ({ id }) => ({ at: 'calculators', jobId: id }) },
  { label: t.labels, to: ({ id }) => ({ at: 'job-labels', id }) },
]
