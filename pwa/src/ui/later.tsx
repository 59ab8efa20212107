import { signal } from '@preact/signals'
import type { ComponentType, FunctionComponent } from 'preact'
import { useState } from 'preact/hooks'
import { en } from '../domain/words'

/** A component that is loaded when it is first shown, so that the app starts without it. */
export function later<Props extends object>(
  load: () => Promise<ComponentType<Props>>,
): FunctionComponent<Props> {
  const found = signal<{ component: ComponentType<Props> } | 'failed' | null>(null)
  const begin = () => {
    load().then(
      (component) => {
        found.value = { component }
      },
      () => {
        found.value = 'failed'
      },
    )
  }
  return (props) => {
    // Begun while this is drawn, not after: what is on the phone already stands there without a blank before it.
    useState(() => {
      if (found.peek() === null || found.peek() === 'failed') begin()
    })
    if (found.value === null) return <p class="blank">{en.app.loading} …</p>
    if (found.value === 'failed') return <p class="blank">{en.app.failed}</p>
    const { component: Found } = found.value
    return <Found {...props} />
  }
}
