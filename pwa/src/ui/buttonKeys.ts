import { signal } from '@preact/signals'
import type { JSX } from 'preact'
import type { Shortcut } from './shortcuts'
import { isWide } from './wide'

/** What a button with a key needs: its attribute for assistive technology, and the key shown in it. */
interface ButtonKey {
  attribute: { 'aria-keyshortcuts': string }
  cap: JSX.Element
}

/** How a button shows and binds its key. The desk's code, which a phone never loads, sets it. */
export const buttonKeys = signal<((shortcut: Shortcut, label: string) => ButtonKey) | null>(null)

/** The key of a button at the desk; null elsewhere, and for a button without one. */
export function keyOfButton(shortcut: Shortcut | undefined, label: string): ButtonKey | null {
  return shortcut && isWide.value ? (buttonKeys.value?.(shortcut, label) ?? null) : null
}
