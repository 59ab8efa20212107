import { counted } from './plural'

/** Words of the bench, the list of what is done on the machine of one job. */
export const bench = {
  title: 'Bench',
  takeApart: 'Take apart',
  steps: (count: number) => (count ? counted(count, 'step', 'steps') : ''),
  putBack: 'Put back',
  stepsLeft: (count: number) => (count ? `${count} left` : ''),
  torqueOpen: (count: number) => `Torque still open: ${count}`,
  torqueOpenHint: 'Before testing, these fasteners have to be back and tightened.',
  finding: 'Add a finding',
  labels: 'Print labels',
  findings: (count: number) => (count ? counted(count, 'finding', 'findings') : ''),
  tests: 'Testing',
  testsDone: (done: number, all: number) => (done ? `${done} of ${all}` : ''),
  circuit: 'Start and kill circuit',
  circuitState: (count: number) => (count ? counted(count, 'observation', 'observations') : ''),
}

/** The calculators, as they are listed on the bench and under More. */
export const benchCalculators = {
  title: 'Calculators',
  hint: 'Units, torque, battery, compression, mix',
}
