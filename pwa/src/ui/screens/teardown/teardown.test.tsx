// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import type {
  Attachment,
  Fastener,
  Job,
  Machine,
  RemovalStep,
  Sheet,
  SheetEntry,
} from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { teardown as t } from '../../../domain/words/teardown'
import type { FakeServer } from '../../../store/fakes/server'
import { ledgerOfRows } from '../../../store/rows/benchRows'
import { allOf } from '../../../store/rows/selectors'
import { removalStepsOf, teardownOf } from '../../../store/teardown'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { Ledger } from './Ledger'
import { PutBack } from './PutBack'
import { TakeApart } from './TakeApart'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set()), session: signal({ member: { id: 'me' } }) }
})

function putJob(server: FakeServer) {
  server.put('machine', { ...DEFAULTS.machine, ...born(), id: 'machine', kind: 'mower' } as Machine)
  server.put('job', { ...DEFAULTS.job, ...born(), id: 'job', machine_id: 'machine', stage: 'repair' } as Job)
}

function putPictures(server: FakeServer, step_id: string, count: number) {
  for (let number = 0; number < count; number += 1)
    server.put('attachment', {
      ...DEFAULTS.attachment,
      ...born(),
      id: `${step_id}.picture${number}`,
      about_kind: 'removal_step',
      about_id: step_id,
    } as Attachment)
}

function putSteps(server: FakeServer, count: number, fasteners: number, pictures = 0) {
  putJob(server)
  for (let step = 0; step < count; step += 1) {
    const id = `step${step}`
    server.put('removal_step', {
      ...DEFAULTS.removal_step,
      ...born(),
      id,
      job_id: 'job',
      position: step,
      what: `Part ${step + 1}`,
      back_at: null,
    } as unknown as RemovalStep)
    putPictures(server, id, pictures)
    for (let number = 0; number < fasteners; number += 1)
      server.put('fastener', {
        ...DEFAULTS.fastener,
        ...born(),
        id: `${id}.${number}`,
        step_id: id,
        thread: `M${6 + (number % 3)}`,
        length: '20',
        count: 2,
      } as Fastener)
  }
}

const labelled = (label: string) =>
  [...root.querySelectorAll('button')].find((each) => each.getAttribute('aria-label') === label)

test('a step with three equal fasteners is four presses, and the next one is there at once', async () => {
  await showScreen(putJob, () => <TakeApart id="job" />)
  expect(root.querySelector('h1')?.textContent).toBe(t.step(1))
  await press(button(t.next))
  expect(root.textContent).toContain(t.nothingYet)
  await press(button('M8 × 25'))
  await press(labelled(t.more('M8 × 25')))
  await press(labelled(t.more('M8 × 25')))
  await press(button(t.next))
  expect(root.querySelector('h1')?.textContent).toBe(t.step(2))
  expect(allOf('fastener').map(({ thread, length, count }) => [thread, length, count])).toEqual([
    ['M8', '25', 3],
  ])
  expect(removalStepsOf('job').map(({ position, bag }) => [position, bag])).toEqual([[0, 1]])
  // What was used before is offered first.
  await press(button('M8 × 25'))
  await press(button(t.next))
  expect(removalStepsOf('job').map(({ position, bag }) => [position, bag])).toEqual([
    [0, 1],
    [1, 2],
  ])
})

test('one press puts a step back with all its fasteners, and shows the next one', async () => {
  await showScreen(
    (server) => putSteps(server, 3, 2),
    () => <PutBack id="job" />,
  )
  expect(root.querySelector('h1')?.textContent).toBe('Part 3')
  await press(button(t.doneLabel))
  expect(root.querySelector('h1')?.textContent).toBe('Part 2')
  expect(allOf('fastener_move').map(({ kind, count }) => [kind, count])).toEqual([
    ['back', 2],
    ['back', 2],
  ])
  await press(button(t.doneLabel))
  await press(button(t.doneLabel))
  expect(root.textContent).toContain(t.everything)
  const ledger = ledgerOfRows(teardownOf('job'))
  expect([ledger.places, ledger.sizes.map(({ open }) => open)]).toEqual([[], [0, 0]])
})

test('an order that the machine’s sheet knows is taken over in one press', async () => {
  await showScreen(
    (server) => {
      putSteps(server, 3, 0)
      server.put('sheet', {
        ...DEFAULTS.sheet,
        ...born(),
        id: 'sheet',
        title: 'Mowers',
        kind: 'mower',
      } as Sheet)
      const order = { kind: 'order', first: 'part 1', second: 'PART 3', words: 'The belt is in the way' }
      const entry = { ...DEFAULTS.sheet_entry, ...born(), id: 'entry', sheet_id: 'sheet', ...order }
      server.put('sheet_entry', entry as SheetEntry)
    },
    () => <PutBack id="job" />,
  )
  expect(root.querySelector('h1')?.textContent).toBe('Part 3')
  await press(button(t.takeKnown('Part 1', 'Part 3')))
  expect(root.querySelector('h1')?.textContent).toBe('Part 2')
  expect(root.textContent).toContain(t.moved('Part 1', 'The belt is in the way'))
  expect(button(t.takeKnown('Part 1', 'Part 3'))).toBe(undefined)
})

test('five hundred steps with two thousand fasteners and a thousand photos are shown a part at a time', async () => {
  await showScreen(
    (server) => putSteps(server, 500, 4, 2),
    () => <PutBack id="job" />,
  )
  expect(root.querySelector('h1')?.textContent).toBe('Part 500')
  expect(root.querySelectorAll('.list-item').length).toBeLessThan(60)
  await showScreen(
    (server) => putSteps(server, 500, 4, 2),
    () => <TakeApart id="job" />,
  )
  expect(root.querySelector('h1')?.textContent).toBe(t.step(501))
  expect(root.querySelectorAll('.list-item').length).toBeLessThan(60)
}, 60_000)

test('a ledger that does not add up says what and where', async () => {
  await showScreen(
    (server) => {
      putSteps(server, 2, 1)
      const move = { ...DEFAULTS.fastener_move, ...born(), kind: 'back', moved_at: born().created_at }
      server.put('fastener_move', { ...move, id: 'a', fastener_id: 'step0.0', count: 3 } as never)
    },
    () => <Ledger id="job" />,
  )
  expect(root.textContent).toContain(t.swapPlace(1, 'M6 × 20', 'Part 2', 'Part 1'))
  expect(root.textContent).toContain(t.openMore(1))
})
