import { useId } from 'preact/hooks'

interface Props {
  label: string
  value: string
  onValueChange: (value: string) => void
  onStep: (direction: 1 | -1) => void
  decreaseLabel: string
  increaseLabel: string
  hint?: string
  error?: string | undefined
}

/** A number input with a large minus and plus button; it can be typed as well. */
export function NumberStepper({
  label,
  value,
  onValueChange,
  onStep,
  decreaseLabel,
  increaseLabel,
  hint,
  error,
}: Props) {
  const id = useId()
  return (
    <div class="stepper">
      <div>
        <button type="button" class="button" aria-label={decreaseLabel} onClick={() => onStep(-1)}>
          −
        </button>
        <div class="field" data-invalid={error ? '' : undefined}>
          <label for={id}>{label}</label>
          <input
            id={id}
            type="text"
            inputMode="decimal"
            autocomplete="off"
            value={value}
            aria-invalid={error ? true : undefined}
            aria-describedby={error ? `${id}-error` : hint ? `${id}-hint` : undefined}
            onInput={(event) => onValueChange(event.currentTarget.value)}
          />
          {hint && (
            <span class="hint" id={`${id}-hint`}>
              {hint}
            </span>
          )}
        </div>
        <button type="button" class="button" aria-label={increaseLabel} onClick={() => onStep(1)}>
          +
        </button>
      </div>
      <span class="field-error" id={`${id}-error`}>
        {error}
      </span>
    </div>
  )
}
