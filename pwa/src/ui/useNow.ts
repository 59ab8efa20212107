import { useEffect, useState } from 'preact/hooks'

const TICK_MS = 15_000

/** The present in ms since 1970, updated every 15 s and when the page becomes visible. */
export function useNow(): number {
  const [now, setNow] = useState(Date.now)
  useEffect(() => {
    const update = () => setNow(Date.now())
    const timer = setInterval(update, TICK_MS)
    document.addEventListener('visibilitychange', update)
    return () => {
      clearInterval(timer)
      document.removeEventListener('visibilitychange', update)
    }
  }, [])
  return now
}
