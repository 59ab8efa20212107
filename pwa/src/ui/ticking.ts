import { useEffect, useState } from 'preact/hooks'

const TICK_MS = 15_000

/** The present in ms, anew often enough for minutes: what runs is a row, this only draws it. */
export function useNow(): number {
  const [now, setNow] = useState(Date.now)
  useEffect(() => {
    const draw = () => setNow(Date.now())
    const ticking = setInterval(draw, TICK_MS)
    document.addEventListener('visibilitychange', draw)
    return () => {
      clearInterval(ticking)
      document.removeEventListener('visibilitychange', draw)
    }
  }, [])
  return now
}
