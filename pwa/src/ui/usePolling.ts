import { useEffect } from 'preact/hooks'
import { syncNow, syncSummary } from '../store/queue/queue'

const INTERVAL_MS = 700

/** Syncs every 700 ms while `enabled`, for a screen that waits for the server; without a signal it does nothing. */
export function usePolling(enabled: boolean): void {
  const polls = enabled && syncSummary.value.signal !== 'no'
  useEffect(() => {
    if (!polls) return
    const timer = setInterval(syncNow, INTERVAL_MS)
    return () => clearInterval(timer)
  }, [polls])
}
