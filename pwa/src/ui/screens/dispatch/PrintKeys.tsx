import type { Printout } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { Key, Keys } from '../../components/Press'
import { useHurry } from '../../hurry'
import { saving } from '../../telling'

const its = en.dispatch.paper

interface Props {
  words: string
  openWords: string
  printout: Printout | undefined
  onAsk: () => Promise<void>
}

/** Paper that the server makes: asked for, waited for, opened. */
export function PrintKeys({ words, openWords, printout, onAsk }: Props) {
  const waiting = printout?.state === 'waiting'
  useHurry(waiting)
  return (
    <>
      <p role="status" class="hint">
        {waiting && its.waiting}
        {printout?.state === 'failed' && its.failed(printout.reason)}
      </p>
      <Keys tall>
        {printout?.state === 'ready' && (
          <Key wide opens words={openWords} href={`/api/v1/printouts/${printout.id}/paper`} />
        )}
        {!waiting && <Key wide words={words} onPress={() => void saving(onAsk, its.asked)} />}
      </Keys>
    </>
  )
}
