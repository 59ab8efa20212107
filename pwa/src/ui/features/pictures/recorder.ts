import { VOICE_NOTE } from '../../../domain/contract'

/** Of what browsers record, the server keeps these; the first that this one offers is taken. */
const TYPES = ['audio/webm;codecs=opus', 'audio/mp4;codecs=mp4a.40.2', 'audio/mp4']
/** Enough for speech: three minutes take 0.7 MB. */
const BITS_PER_SECOND = 32_000
/** What was recorded is handed over this often, so that a recorder that fails loses little. */
const PIECE_MS = 1_000

/** Why nothing can be recorded. */
export type RecordingTrouble = 'missing' | 'blocked' | 'no_microphone' | 'busy'

export interface Recorded {
  type: string
  content: ArrayBuffer
  seconds: number
}

export interface Recording {
  /** Ends it; what was recorded is handed over. */
  stop: () => void
}

export const canRecord = () =>
  typeof MediaRecorder !== 'undefined' && Boolean(navigator.mediaDevices?.getUserMedia)

/**
 * Records from the microphone until it is stopped: by the caller, at the limit, when the microphone is taken away (a
 * call) or the app goes to the background (a locked screen). However it ends, what was recorded is handed over once.
 */
export async function startRecording(
  onEnd: (recorded: Recorded | null) => void,
): Promise<Recording | RecordingTrouble> {
  const mimeType = canRecord() ? TYPES.find((type) => MediaRecorder.isTypeSupported(type)) : undefined
  if (!mimeType) return 'missing'
  let stream: MediaStream
  try {
    stream = await navigator.mediaDevices.getUserMedia({ audio: true })
  } catch (error) {
    return troubleOf(error)
  }
  const recorder = new MediaRecorder(stream, { mimeType, audioBitsPerSecond: BITS_PER_SECOND })
  const pieces: Blob[] = []
  const begun = performance.now()
  const stop = () => {
    if (recorder.state !== 'inactive') recorder.stop()
  }
  const stopHidden = () => document.hidden && stop()
  const limit = setTimeout(stop, VOICE_NOTE.most_seconds * 1000)
  const awake = keepAwake()
  recorder.addEventListener('dataavailable', ({ data }) => data.size > 0 && pieces.push(data))
  recorder.addEventListener('error', stop)
  recorder.addEventListener('stop', () => {
    clearTimeout(limit)
    document.removeEventListener('visibilitychange', stopHidden)
    for (const track of stream.getTracks()) track.stop()
    awake()
    const seconds = Math.min(VOICE_NOTE.most_seconds, Math.round((performance.now() - begun) / 1000))
    void finish(pieces, mimeType, seconds).then(onEnd)
  })
  for (const track of stream.getTracks()) track.addEventListener('ended', stop)
  document.addEventListener('visibilitychange', stopHidden)
  recorder.start(PIECE_MS)
  return { stop }
}

async function finish(pieces: Blob[], mimeType: string, seconds: number): Promise<Recorded | null> {
  if (pieces.length === 0) return null
  const type = mimeType.split(';', 1)[0] ?? mimeType
  return { type, content: await new Blob(pieces).arrayBuffer(), seconds }
}

/** A phone that locks its screen would end the note. Returns how to let it lock again. */
function keepAwake(): () => void {
  const lock = navigator.wakeLock?.request('screen').catch(() => null)
  return () => void lock?.then((held) => held?.release())
}

function troubleOf(error: unknown): RecordingTrouble {
  const name = error instanceof DOMException ? error.name : ''
  if (name === 'NotAllowedError' || name === 'SecurityError') return 'blocked'
  return name === 'NotFoundError' ? 'no_microphone' : 'busy'
}
