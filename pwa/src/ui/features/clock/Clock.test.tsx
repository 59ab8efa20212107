// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test, vi } from 'vitest'
import { plainWork, startClock } from '../../../store/timeEntries'
import { PrimaryButton } from '../../components/Button'
import { start } from './Clock'
import { ChooseWork } from './ClockButtons'

vi.mock('../../../store/timeEntries', async (original) => ({
  ...(await original<object>()),
  startClock: vi.fn(),
}))

const root = document.createElement('div')
document.body.append(root)
afterEach(() => act(() => render(null, root)))

test('two presses during a save start one clock, and the next press another', async () => {
  const undo = async () => {}
  let written: (undo: () => Promise<void>) => void = () => undefined
  vi.mocked(startClock).mockImplementation(() => new Promise((done) => (written = done)))
  const work = plainWork('shop', null)
  const first = start(work)
  expect(await start(work)).toBe(false)
  written(undo)
  expect(await first).toBe(true)
  const next = start(work)
  written(undo)
  expect(await next).toBe(true)
  expect(startClock).toHaveBeenCalledTimes(2)
})

test('the second of two taps in one place does nothing', async () => {
  const onPress = vi.fn()
  await act(() => render(<PrimaryButton label="Start" onPress={onPress} />, root))
  const tap = (detail: number) =>
    root.querySelector('button')?.dispatchEvent(new MouseEvent('click', { bubbles: true, detail }))
  tap(1)
  tap(2)
  expect(onPress).toHaveBeenCalledTimes(1)
  // From a keyboard.
  tap(0)
  expect(onPress).toHaveBeenCalledTimes(2)
})

test('with no job at all the clock is not the main act of Today: setting up is', async () => {
  await act(() => render(<ChooseWork jobId={null} to={{ at: 'clock' }} shortcut="today.clock" />, root))
  expect([...root.querySelectorAll('a')].map((link) => link.className)).toEqual(['button'])
  await act(() => render(<ChooseWork jobId="job" to={{ at: 'clock' }} shortcut="job.clock" />, root))
  expect(root.querySelector('a')?.className).toBe('primary-button')
})
