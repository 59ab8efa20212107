import { signal } from '@preact/signals'
import { en } from '../domain/words'
import type { Telling } from './components/Told'

/** Long enough to read it; longer where it can still be taken back. */
const STAYS_MS = 5_000
const UNDO_STAYS_MS = 15_000

export const telling = signal<Telling | null>(null)

let clearing: ReturnType<typeof setTimeout> | undefined
let read = false

/** Takes back what was said, such as before someone else looks at the glass. */
export function hush(): void {
  clearTimeout(clearing)
  telling.value = null
  read = false
}

/** A screen is left: what was read on it stays behind. What was said on the way out is read where that way leads. */
export function leaveBehind(): void {
  if (read) hush()
}

function say(said: Omit<Telling, 'dismiss'>): void {
  hush()
  telling.value = { ...said, dismiss: hush }
  clearing = setTimeout(hush, said.undo ? UNDO_STAYS_MS : STAYS_MS)
  // Whoever says something and goes on at once has gone by then.
  setTimeout(() => {
    read = telling.value?.words === said.words
  })
}

/** Says what happened, long enough to read it and to take it back. */
export function tell(words: string, undo?: () => Promise<unknown>, undoWords?: string): void {
  say({
    words,
    ...(undo && { undo: () => void saving(undo, en.app.undone) }),
    ...(undoWords !== undefined && { undoWords }),
  })
}

/**
 * Runs a save and says so only once the phone has really written it down. Gives whether it did; when
 * it did not, that is said instead, and what was typed must stay.
 */
export async function saving(
  work: () => Promise<unknown>,
  words: string = en.app.savedHere,
): Promise<boolean> {
  try {
    await work()
  } catch {
    tell(en.app.notSaved)
    return false
  }
  tell(words)
  return true
}
