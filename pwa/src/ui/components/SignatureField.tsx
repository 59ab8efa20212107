import type { ComponentChildren } from 'preact'
import { useId, useState } from 'preact/hooks'
import { Button, ButtonRow } from './Button'
import { describedBy, FieldError } from './FieldError'
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
  const id = useId()
  const [clearCount, setClearCount] = useState(0)
  return (
    // Takes the focus when the signature is missing: the canvas alone cannot have it.
    <fieldset class="signature-field" tabIndex={-1} aria-label={label} {...describedBy(id, error)}>
      <FieldError id={id} text={error} />
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
    </fieldset>
  )
}
