import { type ReadonlySignal, signal } from '@preact/signals'
import type { ComponentType, FunctionComponent } from 'preact'
import { useState } from 'preact/hooks'
import { en } from '../domain/words'

const loaders: (() => Promise<unknown>)[] = []

/**
 * Loads every lazy component, one after the other, so that no screen has to wait and all work without a signal. A load
 * that fails is tried again when its component is first shown.
 */
export async function preloadLazy(): Promise<void> {
  // A loaded module may register further lazy components.
  for (const load of loaders) await load().catch(() => undefined)
}

/**
 * A component whose code is loaded when it is first shown, so that the app starts without it. It is loaded ahead unless
 * `ahead` says that this screen has no use for it.
 */
export function lazy<Props extends object>(
  load: () => Promise<ComponentType<Props>>,
  ahead?: ReadonlySignal<boolean>,
): FunctionComponent<Props> {
  loaders.push(() => (ahead?.peek() === false ? Promise.resolve() : load()))
  const loaded = signal<{ component: ComponentType<Props> } | 'failed' | null>(null)
  const startLoading = () => {
    load().then(
      (component) => {
        loaded.value = { component }
      },
      () => {
        loaded.value = 'failed'
      },
    )
  }
  return (props) => {
    // Started during the first render, not in an effect: code that is on the phone already shows without an empty frame.
    useState(() => {
      if (loaded.peek() === null || loaded.peek() === 'failed') startLoading()
    })
    if (loaded.value === null) return <p class="empty-state">{en.app.loading} …</p>
    if (loaded.value === 'failed') return <p class="empty-state">{en.app.failed}</p>
    const { component: Component } = loaded.value
    return <Component {...props} />
  }
}
