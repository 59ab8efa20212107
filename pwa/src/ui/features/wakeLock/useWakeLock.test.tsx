// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { expect, test, vi } from 'vitest'
import { useWakeLock } from './useWakeLock'

const root = document.createElement('div')

function Busy() {
  useWakeLock()
  return null
}

const show = (part: preact.ComponentChild) => act(async () => render(part, root))

test('the screen is kept awake while the part is shown, and asked for again after the app was out of sight', async () => {
  const release = vi.fn(async () => undefined)
  const request = vi.fn(async () => ({ release }))
  Object.assign(navigator, { wakeLock: { request } })
  await show(<Busy />)
  expect(request).toHaveBeenCalledTimes(1)
  await act(async () => void document.dispatchEvent(new Event('visibilitychange')))
  expect(request).toHaveBeenCalledTimes(2)
  await show(null)
  expect(release).toHaveBeenCalled()
})

test('without the wake lock, or where it is refused, nothing breaks', async () => {
  Object.assign(navigator, { wakeLock: { request: () => Promise.reject(new Error('low battery')) } })
  await show(<Busy />)
  await show(null)
  Object.assign(navigator, { wakeLock: undefined })
  await show(<Busy />)
  await show(null)
})
