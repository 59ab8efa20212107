import { useEffect } from 'preact/hooks'
import type { Quote } from '../../../domain/contract'
import { named } from '../../../domain/named'
import { en } from '../../../domain/words/index'
import { syncNow } from '../../../store/queue/queue'
import { remakePdf } from '../../../store/quotes'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import { saveWithToast } from '../../toast'

const t = en.quote.result
const LOOK_AGAIN_MS = 3_000
const LOOKS = 20

/** Syncs every 3 s for one minute while somebody waits for the PDF. */
function usePdfPolling(waiting: boolean): void {
  useEffect(() => {
    if (!waiting) return
    let looks = 0
    const timer = setInterval(() => {
      if (++looks > LOOKS) clearInterval(timer)
      else syncNow()
    }, LOOK_AGAIN_MS)
    return () => clearInterval(timer)
  }, [waiting])
}

/** The status of the PDF. */
export function QuotePdf({ row }: { row: Quote }) {
  const { state, url, reason } = row.pdf
  usePdfPolling(state === 'waiting' && row.number !== null)
  const words = named({
    none: t.pdfNone,
    waiting: row.number ? t.pdfWaiting : t.pdfNone,
    ready: t.pdfReady,
    failed: t.pdfFailed(reason ?? ''),
  })[state]
  return (
    <Section title={t.pdf}>
      <p class="multiline" role="status">
        {words}
      </p>
      <ButtonRow stacked>
        {state === 'ready' && url && <Button wide label={t.pdfOpen} href={url} newTab shortcut="quote.pdf" />}
        {(state === 'failed' || state === 'ready') && (
          <Button wide label={t.pdfAgain} onPress={() => void saveWithToast(() => remakePdf(row.id))} />
        )}
      </ButtonRow>
    </Section>
  )
}
