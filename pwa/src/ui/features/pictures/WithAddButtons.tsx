import type { ComponentChildren } from 'preact'
import { useEffect, useId, useRef, useState } from 'preact/hooks'
import { en } from '../../../domain/words/index'
import type { AddPictureResult } from '../../../store/pictures/pictures'
import { ButtonRow } from '../../components/Button'
import { FileButton } from '../../components/Picture'
import { showToast } from '../../toast'
import type { Recorded } from './recorder'
import { VoiceRecorder } from './VoiceRecorder'

const t = en.pictures

interface Props {
  keep: (file: File) => Promise<AddPictureResult>
  keepSound: (sound: Recorded) => Promise<AddPictureResult>
  children: ComponentChildren
}

/** Pictures and voice notes, with buttons to take, to choose and to record more. */
export function WithAddButtons({ keep, keepSound, children }: Props) {
  const [busy, setBusy] = useState(false)
  const [error, setError] = useState('')
  const id = useId()
  const errorId = error ? id : undefined
  const errorLine = useRef<HTMLParagraphElement>(null)
  useEffect(() => {
    if (error) errorLine.current?.scrollIntoView({ block: 'center' })
  }, [error])

  async function add(files: readonly File[]) {
    setBusy(true)
    setError('')
    let kept = 0
    for (const file of files) {
      const added = await keep(file)
      if (added.done) kept += 1
      else setError(t.wrong[added.because])
    }
    setBusy(false)
    if (kept > 0) showToast(kept === 1 ? t.kept : t.keptAll(kept))
  }
  return (
    <>
      {children}
      <p role="status">{busy && `${t.keeping} …`}</p>
      {error && (
        <p class="field-error" role="alert" id={id} ref={errorLine}>
          {error}
        </p>
      )}
      <ButtonRow>
        <FileButton camera errorId={errorId} label={t.take} onFiles={(files) => void add(files)} />
        <FileButton multiple errorId={errorId} label={t.choose} onFiles={(files) => void add(files)} />
        <VoiceRecorder keep={keepSound} onError={setError} />
      </ButtonRow>
    </>
  )
}
