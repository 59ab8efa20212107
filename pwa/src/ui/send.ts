import { useRef, useState } from 'preact/hooks'
import { saving } from './telling'

/**
 * Saves once however often it is pressed: `busy` until the phone has written it down. After a failed save
 * everything stays as it is and it can be pressed again; after a good one `done` goes on.
 */
export function useSend(): {
  busy: boolean
  send: (work: () => Promise<unknown>, done: () => void, words?: string) => Promise<void>
} {
  const [busy, setBusy] = useState(false)
  const running = useRef(false)
  return {
    busy,
    async send(work, done, words) {
      if (running.current) return
      running.current = true
      setBusy(true)
      const saved = await saving(work, words)
      running.current = false
      setBusy(false)
      if (saved) done()
    },
  }
}
