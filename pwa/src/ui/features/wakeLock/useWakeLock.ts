import { useEffect } from 'preact/hooks'

/**
 * Keeps the screen awake while the part of a page that calls it is shown (W3C Screen Wake Lock). A browser without it, or
 * one that refuses (low battery), lets the screen go dark as always. The lock is lost whenever the app goes out of sight
 * and is asked for again when it comes back.
 */
export function useWakeLock(): void {
  useEffect(() => {
    let over = false
    let lock: WakeLockSentinel | undefined
    async function ask() {
      if (over || document.visibilityState !== 'visible') return
      try {
        const found = await navigator.wakeLock?.request('screen')
        if (over) await found?.release()
        else lock = found
      } catch {
        // Refused: the screen goes dark as it always does.
      }
    }
    const again = () => void ask()
    document.addEventListener('visibilitychange', again)
    again()
    return () => {
      over = true
      document.removeEventListener('visibilitychange', again)
      void lock?.release().catch(() => undefined)
    }
  }, [])
}
