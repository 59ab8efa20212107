import { useRef, useState } from 'preact/hooks'
import { saveWithToast } from './toast'

/**
 * Saves once however often the button is pressed: `busy` until the phone has stored it, then `done` is called. After a
 * failed save everything stays as it is and the button can be pressed again.
 */
export function useSaveOnce(): {
  busy: boolean
  save: (work: () => Promise<unknown>, done: () => void, words?: string) => Promise<void>
} {
  const [busy, setBusy] = useState(false)
  const running = useRef(false)
  return {
    busy,
    async save(work, done, words) {
      if (running.current) return
      running.current = true
      setBusy(true)
      const saved = await saveWithToast(work, words)
      running.current = false
      setBusy(false)
      if (saved) done()
    },
  }
}
