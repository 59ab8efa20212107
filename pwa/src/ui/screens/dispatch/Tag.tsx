import { useEffect, useRef, useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { machineByTag } from '../../../store/machines'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { goTo } from '../../router'
import { Sheet } from '../Sheet'

const its = en.dispatch.tag
const LOOK_MS = 250

/** A browser that reads codes by itself; only some do. */
interface Detector {
  detect(source: HTMLVideoElement): Promise<readonly { rawValue: string }[]>
}
type DetectorMade = new (how: { formats: string[] }) => Detector
const Reader = (globalThis as { BarcodeDetector?: DetectorMade }).BarcodeDetector

/** A machine by its tag: scanned where the browser can, typed otherwise. */
export function Tag() {
  const [typed, setTyped] = useState('')
  const [wrong, setWrong] = useState<{ tag?: string }>({})
  const [looking, setLooking] = useState(false)

  function open(words: string) {
    const tag = tagIn(words)
    if (!tag) return setWrong({ tag: its.empty })
    const machine = machineByTag(tag)
    if (machine) return goTo({ at: 'machine', id: machine.id }, { instead: true })
    setTyped(tag)
    setWrong({ tag: its.none(tag) })
  }
  return (
    <Sheet title={its.title} back={{ at: 'find' }} dock={<Slab words={its.open} form="tag" />}>
      {Reader && (
        <Keys tall>
          <Key
            wide
            words={looking ? its.stop : its.scan}
            pressed={looking}
            onPress={() => setLooking(!looking)}
          />
        </Keys>
      )}
      {Reader && looking && (
        <Camera
          reader={new Reader({ formats: ['qr_code'] })}
          onRead={(words) => {
            setLooking(false)
            open(words)
          }}
          onBlind={() => {
            setLooking(false)
            setWrong({ tag: its.noCamera })
          }}
        />
      )}
      <Form id="tag" wrong={wrong} onSend={() => open(typed)}>
        <Field
          label={its.label}
          hint={its.hint}
          value={typed}
          wrong={wrong.tag}
          capital="characters"
          enter="go"
          onValue={setTyped}
        />
      </Form>
    </Sheet>
  )
}

/** A tag may be printed as an address that ends in it. */
function tagIn(words: string): string {
  return words.trim().split('/').at(-1)?.trim() ?? ''
}

interface CameraProps {
  reader: Detector
  onRead: (words: string) => void
  onBlind: () => void
}

function Camera({ reader, onRead, onBlind }: CameraProps) {
  const video = useRef<HTMLVideoElement>(null)
  const told = useRef({ onRead, onBlind })
  told.current = { onRead, onBlind }
  useEffect(() => {
    let stream: MediaStream | undefined
    let looking: ReturnType<typeof setInterval> | undefined
    let over = false
    const look = async () => {
      const glass = video.current
      if (!glass || glass.readyState < HTMLMediaElement.HAVE_CURRENT_DATA) return
      const [found] = await reader.detect(glass).catch(() => [])
      if (found && !over) told.current.onRead(found.rawValue)
    }
    const begin = async () => {
      try {
        stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: 'environment' } })
      } catch {
        return told.current.onBlind()
      }
      if (over || !video.current) return stop()
      video.current.srcObject = stream
      await video.current.play().catch(() => undefined)
      looking = setInterval(() => void look(), LOOK_MS)
    }
    const stop = () => {
      over = true
      clearInterval(looking)
      for (const track of stream?.getTracks() ?? []) track.stop()
    }
    void begin()
    return stop
  }, [])
  return (
    <figure class="deck">
      <video ref={video} playsInline muted aria-label={its.scanning} />
      <figcaption>{its.scanning}</figcaption>
    </figure>
  )
}
