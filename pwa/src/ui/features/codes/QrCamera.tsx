import { useEffect, useRef } from 'preact/hooks'
import { tag as t } from '../../../domain/words/tag'
import { openQrReader, type QrReader } from '../../qrReader'

const LOOK_MS = 200

interface Props {
  /** Reads bar codes too, as packages have them. */
  bars?: boolean
  onRead: (words: string) => void
  /** Called with the reason when the camera cannot be read. */
  onBlind: (words: string) => void
}

/** The camera picture, until it shows a code. */
export function QrCamera({ bars = false, onRead, onBlind }: Props) {
  const video = useRef<HTMLVideoElement>(null)
  const callbacks = useRef({ onRead, onBlind })
  callbacks.current = { onRead, onBlind }
  useEffect(() => {
    let stream: MediaStream | undefined
    let reader: QrReader | undefined
    let over = false
    const stop = () => {
      over = true
      reader?.close()
      for (const track of stream?.getTracks() ?? []) track.stop()
    }
    const look = async (video: HTMLVideoElement) => {
      try {
        stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: 'environment' } })
      } catch {
        if (!over) callbacks.current.onBlind(t.noCamera)
        return
      }
      if (over) return stop()
      video.srcObject = stream
      await video.play().catch(() => undefined)
      reader = await openQrReader(bars)
      try {
        while (!over) {
          const seen = video.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA
          const words = seen ? await reader.read(video) : undefined
          if (words && !over) return callbacks.current.onRead(words)
          await new Promise((resolve) => setTimeout(resolve, LOOK_MS))
        }
      } catch {
        if (!over) callbacks.current.onBlind(t.noReader)
      }
      stop()
    }
    if (video.current) void look(video.current)
    return stop
  }, [])
  return (
    <figure class="deck-view">
      <video ref={video} playsInline muted aria-label={t.scanning} />
      <figcaption>{t.scanning}</figcaption>
    </figure>
  )
}
