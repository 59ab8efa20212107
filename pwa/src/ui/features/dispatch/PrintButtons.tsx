import { en } from '../../../domain/words/index'
import { Button, ButtonRow } from '../../components/Button'
import { saveWithToast } from '../../toast'
import { usePolling } from '../../usePolling'

const t = en.dispatch.printouts

interface Props {
  words: string
  openWords: string
  printout: { id: string; state: string; reason: string } | undefined
  /** Where its PDF is, if it is not one of the printouts. */
  path?: 'label-sheets' | 'stock-sheets' | 'part-orders' | 'billing-printouts'
  onAsk: () => Promise<void>
}

/** A PDF made by the server: request it, wait for it, open it. */
export function PrintButtons({ words, openWords, printout, path, onAsk }: Props) {
  const waiting = printout?.state === 'waiting'
  usePolling(waiting)
  return (
    <>
      <p role="status" class="hint">
        {waiting && t.waiting}
        {printout?.state === 'failed' && t.failed(printout.reason)}
      </p>
      <ButtonRow stacked>
        {printout?.state === 'ready' && (
          <Button wide newTab label={openWords} href={`/api/v1/${path ?? 'printouts'}/${printout.id}/pdf`} />
        )}
        {!waiting && <Button wide label={words} onPress={() => void saveWithToast(onAsk, t.asked)} />}
      </ButtonRow>
    </>
  )
}
