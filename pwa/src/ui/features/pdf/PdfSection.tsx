import { useEffect } from 'preact/hooks'
import type { Quote } from '../../../domain/contract'
import { named } from '../../../domain/named'
import { en } from '../../../domain/words/index'
import { syncNow } from '../../../store/queue/queue'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import type { Shortcut } from '../../shortcuts'
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

interface Props {
  /** A quote or an invoice; the server makes its PDF once it has a number. */
  row: Pick<Quote, 'number' | 'pdf'>
  onRemake: () => Promise<void>
  shortcut?: Shortcut
}

/** The status of the PDF of a quote or an invoice. */
export function PdfSection({ row, onRemake, shortcut }: Props) {
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
        {state === 'ready' && url && (
          <Button wide label={t.pdfOpen} href={url} newTab {...(shortcut && { shortcut })} />
        )}
        {(state === 'failed' || state === 'ready') && (
          <Button
            wide
            label={state === 'ready' ? t.pdfRemake : t.pdfAgain}
            onPress={() => void saveWithToast(onRemake)}
          />
        )}
      </ButtonRow>
    </Section>
  )
}
