import { useEffect } from 'preact/hooks'
import { status, tryNow } from '../store/queue'

const EVERY_MS = 700

/** While somebody watches for what the server is making, it is asked often; with no signal it is left alone. */
export function useHurry(watching: boolean): void {
  const asks = watching && status.value.signal !== 'no'
  useEffect(() => {
    if (!asks) return
    const asking = setInterval(tryNow, EVERY_MS)
    return () => clearInterval(asking)
  }, [asks])
}
