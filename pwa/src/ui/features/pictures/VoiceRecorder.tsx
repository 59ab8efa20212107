import { useEffect, useRef, useState } from 'preact/hooks'
import { VOICE_NOTE } from '../../../domain/contract'
import { voiceNotes as t } from '../../../domain/words/voiceNotes'
import type { AddPictureResult } from '../../../store/pictures/pictures'
import { Button } from '../../components/Button'
import { showToast } from '../../toast'
import { lengthText } from './lengthText'
import { type Recorded, type Recording, startRecording } from './recorder'

interface Props {
  keep: (recorded: Recorded) => Promise<AddPictureResult>
  onError: (text: string) => void
}

/** One press records, the next one stops and saves. A note that ends by itself, or with its screen, is saved too. */
export function VoiceRecorder({ keep, onError }: Props) {
  const [state, setState] = useState<'idle' | 'asking' | 'recording'>('idle')
  const recording = useRef<Recording | null>(null)
  const left = useRef(false)
  useEffect(
    () => () => {
      left.current = true
      recording.current?.stop()
    },
    [],
  )

  async function end(recorded: Recorded | null) {
    recording.current = null
    if (!left.current) setState('idle')
    if (!recorded) return onError(t.wrong.empty)
    const kept = await keep(recorded)
    if (kept.done) showToast(t.kept(lengthText(recorded.seconds)))
    else onError(kept.because === 'no_room' ? t.wrong.no_room : t.wrong.not_saved)
  }
  async function begin() {
    onError('')
    setState('asking')
    const begun = await startRecording((recorded) => void end(recorded))
    if (typeof begun === 'string') {
      setState('idle')
      return onError(t.wrong[begun])
    }
    recording.current = begun
    // The screen was left while the browser asked for the microphone.
    if (left.current) return begun.stop()
    setState('recording')
  }
  if (state === 'idle') return <Button label={t.record} onPress={() => void begin()} />
  if (state === 'asking') return <p role="status">{`${t.asking} …`}</p>
  return (
    <div class="voice-recorder">
      <p>
        <b>{t.recording}</b> <Elapsed />
      </p>
      <Button wide label={t.stop} hint={t.stopHint} onPress={() => recording.current?.stop()} />
    </div>
  )
}

function Elapsed() {
  const [seconds, setSeconds] = useState(0)
  useEffect(() => {
    const begun = performance.now()
    const timer = setInterval(() => setSeconds(Math.floor((performance.now() - begun) / 1000)), 250)
    return () => clearInterval(timer)
  }, [])
  return (
    <span role="timer" aria-live="off">
      {t.of(lengthText(Math.min(seconds, VOICE_NOTE.most_seconds)), lengthText(VOICE_NOTE.most_seconds))}
    </span>
  )
}
