import { useEffect } from 'preact/hooks'
import type { Quote } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { tryNow } from '../../../store/queue'
import { remakePaper } from '../../../store/quotes'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { saving } from '../../telling'

const its = en.quote.result
const LOOK_AGAIN_MS = 3_000
const LOOKS = 20

/** Asks the server for news oftener while somebody waits for the paper: for a minute, then as usual. */
function useNews(waiting: boolean): void {
  useEffect(() => {
    if (!waiting) return
    let looks = 0
    const timer = setInterval(() => {
      if (++looks > LOOKS) clearInterval(timer)
      else tryNow()
    }, LOOK_AGAIN_MS)
    return () => clearInterval(timer)
  }, [waiting])
}

/** Where the PDF stands. */
export function Paper({ row }: { row: Quote }) {
  const { state, url, reason } = row.paper
  useNews(state === 'waiting' && row.number !== null)
  const words = {
    none: its.paperNone,
    waiting: row.number ? its.paperWaiting : its.paperNone,
    ready: its.paperReady,
    failed: its.paperFailed(reason ?? ''),
  }[state]
  return (
    <Part title={its.paper}>
      <p class="lines" role="status">
        {words}
      </p>
      <Keys tall>
        {state === 'ready' && url && <Key wide words={its.paperOpen} href={url} opens />}
        {(state === 'failed' || state === 'ready') && (
          <Key wide words={its.paperAgain} onPress={() => void saving(() => remakePaper(row.id))} />
        )}
      </Keys>
    </Part>
  )
}
