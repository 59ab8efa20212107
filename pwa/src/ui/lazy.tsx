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

interface Options {
  /** Whether to load it before it is shown; false where this screen has no use for it. */
  ahead?: ReadonlySignal<boolean> | undefined
  /** Shown until the code is there, and if it does not come. */
  Instead?: FunctionComponent<{ failed: boolean }>
}

/** A component whose code is loaded when it is first shown, or ahead of that, so that the app starts without it. */
export function lazy<Props extends object>(
  load: () => Promise<ComponentType<Props>>,
  { ahead, Instead = LoadingLine }: Options = {},
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
    if (loaded.value === null || loaded.value === 'failed')
      return <Instead failed={loaded.value === 'failed'} />
    const { component: Component } = loaded.value
    return <Component {...props} />
  }
}

function LoadingLine({ failed }: { failed: boolean }) {
  return <p class="empty-state">{failed ? en.app.failed : `${en.app.loading} …`}</p>
}
