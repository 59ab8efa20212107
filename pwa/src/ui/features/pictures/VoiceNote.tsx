import { useEffect, useRef, useState } from 'preact/hooks'
import type { Attachment } from '../../../domain/contract'
import { voiceNotes as t } from '../../../domain/words/voiceNotes'
import { Button, ButtonRow } from '../../components/Button'
import { lengthText } from './lengthText'
import { usePicture } from './usePicture'

interface Props {
  row: Pick<Attachment, 'id' | 'state'> & { seconds?: number | null }
  name: string
  /** How far it is sent; empty once it is on the server. */
  status: string
  /** Whether there is a screen with more about it. */
  opens?: boolean
}

/** A voice note in a list: one press plays it. */
export function VoiceNote({ row, name, status, opens }: Props) {
  const { url, absent } = usePicture({ id: row.id, state: row.state, media: 'voice' }, 'picture')
  const { playing, failed, toggle } = usePlayer(url)
  const length = row.seconds === null || row.seconds === undefined ? '' : lengthText(row.seconds)
  const instead = url ? '' : absent ? (row.state === 'waiting' ? t.gone : t.comes) : t.looking
  return (
    <div class="voice-note">
      <b>{name}</b>
      {(status || (row.state === 'ready' && instead)) && <small>{status || instead}</small>}
      <ButtonRow>
        {url && (
          <Button
            label={playing ? t.stopPlaying : t.play(length)}
            ariaLabel={playing ? `${t.stopPlaying}: ${name}` : `${t.play(length)}: ${name}`}
            onPress={toggle}
          />
        )}
        {opens && <Button label={t.open} ariaLabel={t.openNote(name)} to={{ at: 'picture', id: row.id }} />}
      </ButtonRow>
      {failed && (
        <p class="field-error" role="alert">
          {t.wrong.unplayable}
        </p>
      )}
    </div>
  )
}

/** Plays the sound at an address; it stops with its screen. */
function usePlayer(url: string | null) {
  const audio = useRef<HTMLAudioElement | null>(null)
  const [playing, setPlaying] = useState(false)
  const [failed, setFailed] = useState(false)
  // biome-ignore lint/correctness/useExhaustiveDependencies: another sound is another player
  useEffect(() => () => audio.current?.pause(), [url])

  async function toggle() {
    if (playing) return audio.current?.pause()
    const player = new Audio(url ?? '')
    audio.current = player
    for (const end of ['pause', 'ended', 'error']) player.addEventListener(end, () => setPlaying(false))
    setFailed(false)
    setPlaying(true)
    try {
      await player.play()
    } catch (error) {
      setPlaying(false)
      // Stopped before it began.
      setFailed(!(error instanceof DOMException && error.name === 'AbortError'))
    }
  }
  return { playing, failed, toggle: () => void toggle() }
}
