import { useEffect, useRef } from 'preact/hooks'
import { tag as its } from '../../../domain/words.tag'
import { type CodeReader, openReader } from '../../codes'

const LOOK_MS = 200

interface Props {
  onRead: (words: string) => void
  /** It cannot look any longer, and why. */
  onBlind: (words: string) => void
}

/** What the camera sees, until it sees a code. */
export function Camera({ onRead, onBlind }: Props) {
  const video = useRef<HTMLVideoElement>(null)
  const told = useRef({ onRead, onBlind })
  told.current = { onRead, onBlind }
  useEffect(() => {
    let stream: MediaStream | undefined
    let reader: CodeReader | undefined
    let over = false
    const stop = () => {
      over = true
      reader?.close()
      for (const track of stream?.getTracks() ?? []) track.stop()
    }
    const look = async (glass: HTMLVideoElement) => {
      try {
        stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: 'environment' } })
      } catch {
        if (!over) told.current.onBlind(its.noCamera)
        return
      }
      if (over) return stop()
      glass.srcObject = stream
      await glass.play().catch(() => undefined)
      reader = await openReader()
      try {
        while (!over) {
          const seen = glass.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA
          const words = seen ? await reader.read(glass) : undefined
          if (words && !over) return told.current.onRead(words)
          await new Promise((resolve) => setTimeout(resolve, LOOK_MS))
        }
      } catch {
        if (!over) told.current.onBlind(its.noReader)
      }
      stop()
    }
    if (video.current) void look(video.current)
    return stop
  }, [])
  return (
    <figure class="deck">
      <video ref={video} playsInline muted aria-label={its.scanning} />
      <figcaption>{its.scanning}</figcaption>
    </figure>
  )
}
