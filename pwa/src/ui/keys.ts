/**
 * The keyboard: what a screen or a part of it binds to keys, in one registry. The line of keys and the list of keys are
 * drawn from it, so what they say is what works.
 *
 * A key is written as `KeyboardEvent.key` names it ("ArrowDown", "Enter", "/"); a letter is small ("j"); "Shift+ArrowUp" is
 * with Shift; "g j" is one after the other. Ctrl, Alt and Meta belong to the browser and the system and are never caught.
 */
import { batch, computed, effect, signal } from '@preact/signals'
import { useLayoutEffect, useState } from 'preact/hooks'
import type { en } from '../domain/words'
import { singleKeys } from '../store/browser/preferences'

export type KeyPlace = keyof (typeof en)['keys']['places']

export interface KeyBinding {
  /** One key or sequence, or several that do the same. */
  readonly keys: string | readonly string[]
  readonly label: string
  readonly act: (event: KeyboardEvent) => void
  /** Whether it works just now; a key that does not is neither caught nor shown. */
  readonly when?: () => boolean
  /** It works in a field too, such as Esc in a search. */
  readonly typing?: boolean
  /** Left out of the line of keys: there is room for a few only. The list of keys shows it. */
  readonly listOnly?: boolean
}

export interface KeyScope {
  readonly where: KeyPlace
  readonly bindings: readonly KeyBinding[]
}

/** How long the first key of a sequence waits for the second, in ms. */
const SEQUENCE_MS = 1500

interface Registered extends KeyScope {
  readonly order: number
}

const registered = signal<readonly Registered[]>([])
let mounted = 0

/** What is bound just now, the most particular first. */
export const keyScopes = computed<readonly KeyScope[]>(() => registered.value)

/** The first keys of a sequence, while the app waits for the next. */
export const typedKeys = signal('')

export const keysOf = ({ keys }: Pick<KeyBinding, 'keys'>): readonly string[] =>
  typeof keys === 'string' ? [keys] : keys

/** A key that types a character: those can be turned off, and are off while typing. */
export const isSingleKey = (keys: string): boolean => keys.split(' ').some((key) => key.length === 1)

/** Whether a binding works just now. */
export function worksNow(binding: KeyBinding): boolean {
  return (
    (singleKeys.value === 'on' || keysOf(binding).some((keys) => !isSingleKey(keys))) &&
    (binding.when?.() ?? true)
  )
}

/**
 * Binds keys while the component is mounted. Where two bind the same key, the one mounted last wins, and a part before
 * the screen around it. `bindings` may be made anew on every render.
 */
export function useKeys(where: KeyPlace, bindings: readonly KeyBinding[]): void {
  const [order] = useState(() => ++mounted)
  const said = bindings.map(({ keys, label }) => `${keysOf({ keys })}=${label}`).join('\n')
  const [scope] = useState(() => ({ order, where, bindings }))
  // What a key does is always that of the last render; the registry changes only where a list of keys would.
  useLayoutEffect(() => {
    scope.bindings = bindings
  })
  useLayoutEffect(() => {
    const others = () => registered.peek().filter((each) => each.order !== order)
    scope.where = where
    registered.value = [...others(), scope].sort((a, b) => b.order - a.order)
    return () => {
      registered.value = others()
    }
  }, [where, said])
}

/** The name of a pressed key, or null where it is none of ours. */
function keyName(event: KeyboardEvent): string | null {
  if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return null
  if (['Shift', 'Control', 'Alt', 'Meta', 'CapsLock'].includes(event.key)) return null
  let { key } = event
  // On a keyboard of another script a letter is the one that stands there on a Latin keyboard.
  if (/^[^\p{ASCII}]$/u.test(key) && /^Key[A-Z]$/.test(event.code)) key = event.code.slice(3)
  const letter = /^[a-z]$/i.test(key)
  if (letter) key = key.toLowerCase()
  return event.shiftKey && (letter || key.length > 1) ? `Shift+${key}` : key
}

/** Whether a key belongs to what has the focus, not to the page: text being typed, a button about to be pressed. */
function isTaken(key: string, target: EventTarget | null): boolean {
  if (!(target instanceof Element)) return false
  if (target.closest('select, textarea, [contenteditable]:not([contenteditable="false"])')) return true
  const presses = key === 'Enter' || key === ' '
  const input = target.closest('input')
  if (input?.type === 'checkbox') return presses
  if (input?.type === 'radio') return presses || key.startsWith('Arrow')
  return input !== null || (presses && target.closest('a[href], button, summary') !== null)
}

let timer: ReturnType<typeof setTimeout> | undefined

function waitAfter(keys: string): void {
  clearTimeout(timer)
  typedKeys.value = keys
  if (keys) timer = setTimeout(() => waitAfter(''), SEQUENCE_MS)
}

/** What the keys typed so far are bound to; `begins` where more has to follow. */
function find(typed: string, taken: boolean): KeyBinding | 'begins' | undefined {
  let begins = false
  for (const { bindings } of registered.peek())
    for (const binding of bindings)
      for (const keys of keysOf(binding)) {
        if (keys !== typed && !keys.startsWith(`${typed} `)) continue
        if ((taken && !binding.typing) || (isSingleKey(keys) && singleKeys.peek() === 'off')) continue
        if (binding.when?.() === false) continue
        if (keys === typed) return binding
        begins = true
      }
  return begins ? 'begins' : undefined
}

function onKeyDown(event: KeyboardEvent): void {
  const key = keyName(event)
  if (key === null) return
  const before = typedKeys.peek()
  waitAfter('')
  if (event.defaultPrevented || document.querySelector('dialog[open]')) return
  const typed = before ? `${before} ${key}` : key
  const found = find(typed, isTaken(key, event.target))
  // The end of a sequence that is none does nothing: it was not meant as a key by itself.
  if (found || before) event.preventDefault()
  if (found === 'begins') waitAfter(typed)
  // A key kept down moves on, but does nothing twice.
  else if (found && (!event.repeat || keysOf(found).some((keys) => keys.includes('Arrow'))))
    batch(() => found.act(event))
}

/** Listens while something is bound. */
effect(() => {
  if (registered.value.length === 0) return undefined
  document.addEventListener('keydown', onKeyDown)
  return () => document.removeEventListener('keydown', onKeyDown)
})
