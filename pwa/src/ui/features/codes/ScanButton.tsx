import { useState } from 'preact/hooks'
import { Button, ButtonRow } from '../../components/Button'
import { hasCamera } from '../../qrReader'
import { QrCamera } from './QrCamera'

interface Props {
  label: string
  stopLabel: string
  onRead: (code: string) => void
}

/** A button that reads one code on a package with the camera; nothing where there is no camera. */
export function ScanButton({ label, stopLabel, onRead }: Props) {
  const [looking, setLooking] = useState(false)
  const [blind, setBlind] = useState('')
  if (!hasCamera()) return null
  return (
    <>
      <ButtonRow stacked>
        <Button
          wide
          label={looking ? stopLabel : label}
          pressed={looking}
          onPress={() => {
            setBlind('')
            setLooking(!looking)
          }}
        />
      </ButtonRow>
      {blind && (
        <p class="hint" role="alert">
          {blind}
        </p>
      )}
      {looking && (
        <QrCamera
          bars
          onRead={(code) => {
            setLooking(false)
            onRead(code)
          }}
          onBlind={(words) => {
            setLooking(false)
            setBlind(words)
          }}
        />
      )}
    </>
  )
}
