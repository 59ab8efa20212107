import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { Button, ButtonRow } from './Button'
import { SignatureCanvas, type Strokes } from './SignatureCanvas'

interface Props {
  label: string
  hint: string
  /** The label of the button that clears the canvas. */
  clearLabel: string
  error: string | undefined
  initial: Strokes
  onChange: (strokes: Strokes, box: { width: number; height: number }) => void
  onClear: () => void
  /** Buttons beside the one that clears it. */
  children?: ComponentChildren
}

/** A signature canvas with its error and the button that clears it. */
export function SignatureField({
  label,
  hint,
  clearLabel,
  error,
  initial,
  onChange,
  onClear,
  children,
}: Props) {
  const [clearCount, setClearCount] = useState(0)
  return (
    <>
      {error && (
        <p class="field-error" role="alert">
          {error}
        </p>
      )}
      <SignatureCanvas
        label={label}
        hint={hint}
        clearCount={clearCount}
        initial={initial}
        onChange={onChange}
      />
      <ButtonRow>
        <Button
          label={clearLabel}
          onPress={() => {
            setClearCount(clearCount + 1)
            onClear()
          }}
        />
        {children}
      </ButtonRow>
    </>
  )
}
