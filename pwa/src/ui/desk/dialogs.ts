import { signal } from '@preact/signals'
import { useLayoutEffect, useRef } from 'preact/hooks'

/** What lies over the desk. */
export const openDialog = signal<'search' | 'keys' | null>(null)

/**
 * A native dialog, opened with the component. Closing it, by Esc or by the browser too, gives the focus back to where it was; where that is
 * gone, to the head of the page.
 */
export function useModal() {
  const dialog = useRef<HTMLDialogElement>(null)
  useLayoutEffect(() => {
    const before = document.activeElement
    const modal = dialog.current
    // At once, not with the event after the browser's own closing: the next key may open it again.
    const closeOnEscape = (event: KeyboardEvent) => {
      if (event.key !== 'Escape') return
      event.preventDefault()
      closeDialog()
    }
    modal?.addEventListener('keydown', closeOnEscape)
    modal?.addEventListener('close', closeDialog)
    modal?.showModal()
    return () => {
      // Its event comes later, when another dialog may be open.
      modal?.removeEventListener('close', closeDialog)
      modal?.close()
      if (before instanceof HTMLElement && before.isConnected) before.focus({ preventScroll: true })
    }
  }, [])
  return dialog
}

export function closeDialog(): void {
  openDialog.value = null
}
