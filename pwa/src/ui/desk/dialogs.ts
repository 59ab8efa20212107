import { signal } from '@preact/signals'
import { useLayoutEffect, useRef } from 'preact/hooks'

/** What lies over the desk. */
export const openDialog = signal<'search' | 'keys' | null>(null)

/**
 * A native dialog, opened with the component. Closing it, by Esc too, gives the focus back to where it was; where that is
 * gone, to the head of the page.
 */
export function useModal() {
  const dialog = useRef<HTMLDialogElement>(null)
  useLayoutEffect(() => {
    const before = document.activeElement
    const modal = dialog.current
    modal?.showModal()
    return () => {
      modal?.close()
      if (before instanceof HTMLElement && before.isConnected) before.focus({ preventScroll: true })
    }
  }, [])
  return dialog
}

export function closeDialog(): void {
  openDialog.value = null
}
