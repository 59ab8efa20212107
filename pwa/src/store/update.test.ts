import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'

/** A worker that waits, as the browser shows it to the page. */
class Waiting extends EventTarget {
  state = 'installed'
  readonly told: unknown[] = []
  postMessage(message: unknown): void {
    this.told.push(message)
  }
  becomes(state: string): void {
    this.state = state
    this.dispatchEvent(new Event('statechange'))
  }
}

class Container extends EventTarget {
  readonly controller = {}
  readonly registration: EventTarget & { waiting: Waiting | null; installing: null }
  constructor(waiting: Waiting) {
    super()
    this.registration = Object.assign(new EventTarget(), { waiting, installing: null })
  }
  async register(): Promise<unknown> {
    return this.registration
  }
}

describe('changing to a new version', () => {
  const reload = vi.fn()
  let worker: Waiting
  let container: Container
  let update: typeof import('./update')

  beforeEach(async () => {
    vi.resetModules()
    vi.useFakeTimers()
    reload.mockClear()
    worker = new Waiting()
    container = new Container(worker)
    vi.stubGlobal('navigator', { serviceWorker: container })
    vi.stubGlobal('location', { reload })
    vi.stubGlobal('document', new EventTarget())
    update = await import('./update')
    await update.keepApp()
  })

  afterEach(() => {
    vi.useRealTimers()
  })

  it('starts the page anew when the controller has changed', () => {
    expect(update.takeOver()).toBe(true)
    expect(worker.told).toEqual(['take-over'])
    expect(reload).not.toHaveBeenCalled()
    container.dispatchEvent(new Event('controllerchange'))
    worker.becomes('activated')
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('starts the page anew when the worker took over and nobody told the page', () => {
    update.takeOver()
    worker.becomes('activating')
    expect(reload).not.toHaveBeenCalled()
    worker.becomes('activated')
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('starts the page anew at once when the worker had taken over before the press', () => {
    worker.state = 'activated'
    expect(update.takeOver()).toBe(true)
    expect(worker.told).toEqual([])
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('lets the old worker go with the page when the new one is kept waiting', () => {
    update.takeOver()
    vi.advanceTimersByTime(2900)
    expect(reload).not.toHaveBeenCalled()
    vi.advanceTimersByTime(200)
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('follows when another page let the new worker take over, but never over something not saved', () => {
    update.noteDirty('a form', true)
    worker.becomes('activated')
    container.dispatchEvent(new Event('controllerchange'))
    expect(reload).not.toHaveBeenCalled()
    update.noteDirty('a form', false)
    expect(update.takeOver()).toBe(true)
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('waits for a form that holds something not saved', () => {
    update.noteDirty('a form', true)
    expect(update.takeOver()).toBe(false)
    expect(worker.told).toEqual([])
  })
})
