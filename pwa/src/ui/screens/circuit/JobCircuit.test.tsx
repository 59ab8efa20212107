// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import { READY } from '../../../domain/bench/circuit'
import { defaultCircuit } from '../../../domain/bench/defaultCircuits'
import type { Circuit, CircuitObservation, Job, Machine, Observation } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { circuit as t } from '../../../domain/words/circuit'
import type { FakeServer } from '../../../store/fakes/server'
import { allOf } from '../../../store/rows/selectors'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { JobCircuit } from './JobCircuit'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set()), session: signal({ member: { id: 'me' } }) }
})

const SEEN: Observation = {
  check: 'crank',
  part: null,
  controls: READY,
  tries: 1,
  yes: 0,
  heat: 'unknown',
  wet: false,
  shaken: false,
  minutes: 1,
}

function putRows(server: FakeServer, seen: readonly Partial<Observation>[] | null): void {
  const made = born()
  server.put('machine', { ...DEFAULTS.machine, ...made, id: 'machine', kind: 'Zero-turn mower' } as Machine)
  server.put('job', { ...DEFAULTS.job, ...made, id: 'job', machine_id: 'machine', customer_id: 'c' } as Job)
  if (!seen) return
  const wiring = defaultCircuit('geared')
  server.put('circuit', { ...made, id: 'circuit', machine_id: 'machine', name: 'Start', wiring } as Circuit)
  seen.forEach((each, number) => {
    const about = { id: `seen ${number}`, job_id: 'job', circuit_id: 'circuit', withdraws_id: null }
    const observation = { ...SEEN, ...each }
    server.put('circuit_observation', { ...made, ...about, observation } as CircuitObservation)
  })
}

const text = () => root.textContent ?? ''

test('a machine without a circuit gets the one that fits its kind in one tap', async () => {
  await showScreen(
    (server) => putRows(server, null),
    () => <JobCircuit id="job" />,
  )
  await press(button(t.kinds.zero_turn))
  expect(allOf('circuit').map(({ wiring }) => wiring)).toEqual([defaultCircuit('zero_turn')])
  expect(text()).toContain(t.firstSee)
})

test('explanations are ranked, the next test is named, and a mistake is withdrawn', async () => {
  await showScreen(
    (server) =>
      putRows(server, [
        { tries: 5, yes: 2 },
        { check: 'continuity', part: 'plug', tries: 4, yes: 1 },
      ]),
    () => <JobCircuit id="job" />,
  )
  const before = root.querySelector('section .list-item')?.textContent
  expect(before).toContain('Plug at the solenoid: loses contact now and then')
  expect(text()).toContain(t.next)
  await press(button(t.mistake))
  expect(allOf('circuit_observation').filter(({ withdraws_id }) => withdraws_id)).toHaveLength(1)
  // Without the measurement others of the crank chain are as likely.
  expect(root.querySelector('section .list-item')?.textContent).not.toBe(before)
})

test('observations that nothing explains together are named', async () => {
  const parts = ['fuse', 'plug', 'lead', 'brake_start']
  await showScreen(
    (server) =>
      putRows(
        server,
        parts.map((part) => ({ check: 'continuity', part })),
      ),
    () => <JobCircuit id="job" />,
  )
  expect(root.querySelector('[role=alert]')?.textContent).toBe(t.conflict(3))
  expect(text()).toContain('Continuity of “Fuse”: Open')
})
