import { type Signal, signal } from '@preact/signals'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'

/** A fake waiting service worker. */
class Waiting extends EventTarget {
  state = 'installed'
  readonly messages: unknown[] = []
  postMessage(message: unknown): void {
    this.messages.push(message)
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

/** A fake open shop with a queue and a device status. */
function shopWith(syncStatus: Signal<object>, entries: readonly object[]) {
  return {
    syncStatus,
    view: { outbox: signal(entries) },
    sending: signal([]),
    deviceStatus: signal({ device: { id: 'd' }, ready: true, last_synced_at: null }),
    lost: signal(null),
    db: { name: 'db' },
  }
}

describe('changing to a new version', () => {
  const reload = vi.fn()
  let worker: Waiting
  let container: Container
  let update: typeof import('./appUpdate')

  beforeEach(async () => {
    vi.resetModules()
    vi.useFakeTimers()
    reload.mockClear()
    worker = new Waiting()
    container = new Container(worker)
    vi.stubGlobal('navigator', { serviceWorker: container })
    vi.stubGlobal('location', { reload })
    vi.stubGlobal('document', new EventTarget())
    update = await import('./appUpdate')
    await update.installServiceWorker()
  })

  afterEach(() => {
    vi.useRealTimers()
  })

  it('reloads the page when the controller has changed', () => {
    expect(update.switchToUpdate()).toBe(true)
    expect(worker.messages).toEqual(['take-over'])
    expect(reload).not.toHaveBeenCalled()
    container.dispatchEvent(new Event('controllerchange'))
    worker.becomes('activated')
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('reloads the page when the worker took over without an event', () => {
    update.switchToUpdate()
    worker.becomes('activating')
    expect(reload).not.toHaveBeenCalled()
    worker.becomes('activated')
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('reloads the page at once when the worker had taken over before the press', () => {
    worker.state = 'activated'
    expect(update.switchToUpdate()).toBe(true)
    expect(worker.messages).toEqual([])
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('leaves the page when the new worker is kept waiting', () => {
    update.switchToUpdate()
    vi.advanceTimersByTime(2900)
    expect(reload).not.toHaveBeenCalled()
    vi.advanceTimersByTime(200)
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('reloads when another page let the new worker take over, except over unsaved input', () => {
    update.noteUnsaved('a form', true)
    worker.becomes('activated')
    container.dispatchEvent(new Event('controllerchange'))
    expect(reload).not.toHaveBeenCalled()
    update.noteUnsaved('a form', false)
    expect(update.switchToUpdate()).toBe(true)
    expect(reload).toHaveBeenCalledTimes(1)
  })

  it('waits for a form with unsaved input', () => {
    update.noteUnsaved('a form', true)
    expect(update.switchToUpdate()).toBe(false)
    expect(worker.messages).toEqual([])
  })

  it('waits for unsent commands, unless the server refuses this version', async () => {
    const { shopSession } = await import('../session/shopSession')
    const entry = { id: 'a', no: 1, name: 'add_customer', status: 'waiting' }
    const syncStatus = signal({
      signal: 'yes',
      working: false,
      stopped: null as string | null,
      no_room: false,
    })
    shopSession.value = shopWith(syncStatus, [entry]) as never
    expect(update.switchToUpdate()).toBe(false)
    expect(update.tooOld.value).toBe(false)
    syncStatus.value = { ...syncStatus.value, stopped: 'upgrade' }
    expect(update.tooOld.value).toBe(true)
    expect(update.switchToUpdate()).toBe(true)
    expect(worker.messages).toEqual(['take-over'])
  })

  it('checks for a new version each time the server refuses this one', async () => {
    vi.resetModules()
    const asked = vi.fn(async () => undefined)
    Object.assign(container.registration, { waiting: null, update: asked })
    const fresh = await import('./appUpdate')
    const { shopSession } = await import('../session/shopSession')
    await fresh.installServiceWorker()
    const syncStatus = signal({ signal: 'yes', working: true, stopped: 'upgrade', no_room: false })
    shopSession.value = shopWith(syncStatus, []) as never
    expect(asked).toHaveBeenCalledTimes(0)
    syncStatus.value = { ...syncStatus.value, working: false }
    expect(asked).toHaveBeenCalledTimes(1)
    syncStatus.value = { ...syncStatus.value, working: true }
    syncStatus.value = { ...syncStatus.value, working: false }
    expect(asked).toHaveBeenCalledTimes(2)
    syncStatus.value = { ...syncStatus.value, stopped: null as never }
    expect(asked).toHaveBeenCalledTimes(2)
  })
})
