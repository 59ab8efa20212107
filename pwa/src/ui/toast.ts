import { signal } from '@preact/signals'
import { en } from '../domain/words'
import type { ToastMessage } from './components/Toast'
import { pageWords } from './readerLanguage'

/** Long enough to read it; longer where it can be undone. */
const SHOWN_MS = 5_000
const UNDO_SHOWN_MS = 15_000

export const currentToast = signal<ToastMessage | null>(null)

let timer: ReturnType<typeof setTimeout> | undefined
let wasRead = false

/** Removes the toast, such as before the phone is handed to someone else. */
export function dismissToast(): void {
  clearTimeout(timer)
  currentToast.value = null
  wasRead = false
}

/** Called when a screen is left: removes a toast that was visible on it. One shown on the way out stays for the next screen. */
export function dismissReadToast(): void {
  if (wasRead) dismissToast()
}

function show(message: Omit<ToastMessage, 'dismiss'>): void {
  dismissToast()
  currentToast.value = { ...message, dismiss: dismissToast }
  timer = setTimeout(dismissToast, message.undo ? UNDO_SHOWN_MS : SHOWN_MS)
  // A caller that shows a toast and navigates at once has navigated by then.
  setTimeout(() => {
    wasRead = currentToast.value?.text === message.text
  })
}

/** Shows what happened, long enough to read it and to undo it. */
export function showToast(text: string, undo?: () => Promise<unknown>, undoLabel?: string): void {
  show({
    text: text,
    ...(undo && { undo: () => void saveWithToast(undo, en.app.undone) }),
    ...(undoLabel !== undefined && { undoLabel: undoLabel }),
  })
}

/**
 * Runs a save and shows `text` once the phone has stored it. Returns whether it did; when not, the toast says so and the
 * form must keep what was typed.
 */
export async function saveWithToast(
  work: () => Promise<unknown>,
  text: string = en.app.savedHere,
): Promise<boolean> {
  try {
    await work()
  } catch {
    showToast(pageWords.value.notSaved)
    return false
  }
  showToast(text)
  return true
}
